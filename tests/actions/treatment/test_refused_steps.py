"""What the log, the report, a deviation and a material refuse, each for one reason alone."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    add_material,
    decide_deviation,
    drop_proposal,
    log_step,
    pair_pictures,
    second_read,
    start_report,
    use_up_material,
    write_report,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.records.models.treatment import (
    Decision,
    Material,
    MaterialKind,
    MaterialTest,
    TreatmentReport,
    TreatmentStep,
)
from tests.actions.treatment.lab import Lab
from tests.actions.treatment.test_report import WORDS, Treated
from tests.builders.core import AT, DAY, make_face, make_object, make_person
from tests.builders.treatment import (
    HOUR,
    done,
    hand_of,
    make_material,
    make_picture,
    make_signed_report,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def treated() -> Treated:
    return Treated()


# --- the log ---------------------------------------------------------------------------------


@pytest.mark.parametrize("strength", [Decimal(0), Decimal(101), Decimal(-1)])
def test_strength_is_a_percentage(lab: Lab, strength: Decimal) -> None:
    with pytest.raises(Refused) as refused:
        lab.log(material=lab.glue, concentration=strength, deviation=True, deviation_why="Thin.")
    assert [reason.field for reason in refused.value.reasons] == ["concentration"]


def test_an_emergency_is_no_deviation_and_neither_is_a_minor_step(lab: Lab) -> None:
    odd: dict[str, Any] = {"deviation": True, "deviation_why": "Otherwise."}
    with pytest.raises(Refused, match="departs from a consented version") as refused:
        lab.log(emergency=True, emergency_reason="A flake lifts.", **odd)
    assert [reason.field for reason in refused.value.reasons] == ["deviation"]
    with pytest.raises(Refused, match="departs from a consented version"):
        lab.log("dust", under=False, **odd)


def test_nothing_is_logged_with_a_closed_showing_not_even_an_emergency(lab: Lab) -> None:
    put_at(lab.showing, Stage.RETURNED)
    lab.showing.refresh_from_db()
    with pytest.raises(Refused, match="log the step with its next one"):
        lab.log(emergency=True, emergency_reason="A flake lifts.")
    with pytest.raises(Refused, match="log the step with its next one"):
        lab.log("dust", under=False, emergency=True, emergency_reason="A flake lifts.")
    assert not TreatmentStep.objects.exists()


def test_a_proposal_about_another_object_covers_nothing_here(lab: Lab) -> None:
    lab.thing = make_object()
    with pytest.raises(Refused, match="is about another object"):
        lab.log()


def test_a_dropped_proposal_covers_nothing(lab: Lab) -> None:
    drop_proposal(
        by=lab.marit, role=Role.CONSERVATOR, at=AT, proposal=lab.proposal, why="Shown as it is."
    )
    with pytest.raises(Refused, match="was dropped: open a new proposal"):
        lab.log()


@pytest.mark.parametrize("stage", [Stage.EXAMINATION, Stage.MOUNTING, Stage.ON_DISPLAY])
def test_a_consented_step_waits_for_the_treatment_to_begin(lab: Lab, stage: Stage) -> None:
    put_at(lab.showing, stage)
    with pytest.raises(Refused) as refused:
        lab.log()
    assert [reason.code for reason in refused.value.reasons] == ["treatment.not_begun"]
    assert lab.log(emergency=True, emergency_reason="A flake lifts.").emergency


def test_only_a_deviation_is_decided_upon_and_not_before_it_happened(lab: Lab) -> None:
    hand = hand_of(lab.wen, Role.CURATOR)
    plain = lab.log()
    with pytest.raises(Refused, match="kept to what was consented"):
        decide_deviation(hand=hand, at=AT + 3 * HOUR, step=plain, decision=Decision.AGREE)
    odd = lab.log(at=AT + 2 * HOUR, deviation=True, deviation_why="The tear ran on.")
    with pytest.raises(Refused, match="can't be older than the step"):
        decide_deviation(hand=hand, at=AT + HOUR, step=odd, decision=Decision.AGREE)
    with pytest.raises(Refused, match="Say what should change, or why"):
        decide_deviation(hand=hand, at=AT + 3 * HOUR, step=odd, decision=Decision.REFUSE)
    assert not odd.decisions.exists()


# --- the report ------------------------------------------------------------------------------


def test_nothing_done_is_nothing_to_report_and_one_draft_is_enough(
    lab: Lab, treated: Treated
) -> None:
    said: dict[str, Any] = {"role": Role.CONSERVATOR, "at": AT + 2 * HOUR}
    with pytest.raises(Refused, match="there is nothing to report"):
        start_report(by=lab.marit, proposal=lab.proposal, **said)
    with pytest.raises(Refused, match=r"A draft of the report on .* is open"):
        start_report(by=treated.marit, proposal=treated.proposal, correction_why="Twice.", **said)


def test_a_signed_report_is_neither_written_paired_nor_signed_again(treated: Treated) -> None:
    treated.write()
    treated.pair()
    treated.sign()
    with pytest.raises(Refused, match="correct it in a new version"):
        treated.write(summary="Otherwise.")
    with pytest.raises(Refused, match="correct it in a new version"):
        treated.pair()
    with pytest.raises(Refused, match="is signed already"):
        treated.sign()
    assert TreatmentReport.objects.get().summary == WORDS["summary"]


def test_a_check_of_another_object_is_refused_at_its_field(treated: Treated) -> None:
    other = make_signed_report(make_object(), ReportKind.AFTER_TREATMENT)
    with pytest.raises(Refused) as refused:
        treated.write(after_check=other)
    assert [reason.field for reason in refused.value.reasons] == ["after_check"]


def test_an_unsigned_check_after_treatment_does_not_count(treated: Treated) -> None:
    treated.pair()
    treated.write()
    check = TreatmentReport.objects.get().after_check
    assert check is not None
    # A draft of a report: its row as it stands before it is signed.
    draft = type(check)(
        report_no="CR-draft",
        museum_object=check.museum_object,
        kind=ReportKind.AFTER_TREATMENT,
        reason=check.reason,
        examined_at=check.examined_at,
        entered_at=check.entered_at,
        entered_by=check.entered_by,
    ).keep(by=None, role="", why="Begun.", at=AT)
    treated.write(after_check=draft)
    with pytest.raises(Refused, match="CR-draft is not a signed check after treatment"):
        treated.sign()


def test_the_second_reader_is_somebody_else_and_reads_what_is_signed() -> None:
    treated = Treated(second=True)
    with pytest.raises(Refused) as refused:
        treated.write(second_reader=treated.marit)
    assert [reason.field for reason in refused.value.reasons] == ["second_reader"]
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    treated.write(second_reader=piers)
    treated.pair()

    def read(person: Any, role: Role = Role.CONSERVATOR) -> None:
        second_read(hand=hand_of(person, role), at=AT + 5 * HOUR, report=treated.report)

    with pytest.raises(Refused, match="is not signed by Marit Oldacre yet"):
        read(piers)
    treated.sign()
    with pytest.raises(Refused, match="is yours: somebody else reads it"):
        read(treated.marit)
    with pytest.raises(NotAllowed):
        read(make_person(Role.CURATOR), Role.CURATOR)
    read(piers)
    assert treated.finished()


@pytest.mark.parametrize(("name", "nothing"), [("taken_at", None), ("light", "")])
def test_a_picture_says_when_and_in_which_light(treated: Treated, name: str, nothing: Any) -> None:
    picture = make_picture(treated.face, taken_at=AT - HOUR, light=LightKind.RAKING)
    setattr(picture, name, nothing)
    with pytest.raises(Refused, match="does not say when and in which light") as refused:
        treated.pair(before=picture)
    assert [reason.field for reason in refused.value.reasons] == ["before"]


def test_a_face_of_another_object_is_not_paired(treated: Treated) -> None:
    strange = make_face()
    pictures = {
        "before": make_picture(strange, taken_at=AT - HOUR, light=LightKind.RAKING),
        "after": make_picture(strange, taken_at=AT + 2 * HOUR, light=LightKind.RAKING),
    }
    with pytest.raises(Refused) as refused:
        treated.pair(face=strange, **pictures)
    assert [reason.field for reason in refused.value.reasons] == ["face"]


def test_removed_matter_is_kept_somewhere_in_the_report_too(treated: Treated) -> None:
    log_step(
        by=treated.marit,
        role=Role.CONSERVATOR,
        at=AT + 2 * HOUR,
        museum_object=treated.showing.museum_object,
        proposal=treated.proposal,
        done=done(
            step_word("mend"),
            at=AT + HOUR,
            face=treated.face,
            removed="Old tape.",
            removed_where="Envelope 3.",
        ),
    )
    treated.write()
    treated.pair()
    with pytest.raises(Refused) as refused:
        treated.sign()
    assert [reason.field for reason in refused.value.reasons] == ["removed_kept_where"]


def test_a_curator_neither_writes_nor_pairs_nor_signs(treated: Treated) -> None:
    wen = make_person(Role.CURATOR)
    said: dict[str, Any] = {"by": wen, "role": Role.CURATOR, "at": AT + 3 * HOUR}
    picture = make_picture(treated.face, taken_at=AT - HOUR, light=LightKind.RAKING)
    with pytest.raises(NotAllowed):
        write_report(
            **said,
            report=treated.report,
            edition=1,
            words=WORDS,
            callback_on=None,
            after_check=None,
        )
    with pytest.raises(NotAllowed):
        pair_pictures(
            **said, report=treated.report, face=treated.face, before=picture, after=picture
        )
    assert TreatmentReport.objects.get().summary == ""


# --- materials -------------------------------------------------------------------------------


def material(**values: Any) -> Material:
    said: dict[str, Any] = {
        "by": make_person(Role.CONSERVATOR),
        "role": Role.CONSERVATOR,
        "at": AT,
        "name": "methyl cellulose",
        "kind": MaterialKind.ADHESIVE,
    }
    return add_material(**said | values)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"name": "  "}, "name"),
        ({"kind": MaterialKind.SOLVENT, "safety_note": " "}, "safety_note"),
        ({"test_state": MaterialTest.TESTED}, "tested_on"),
        ({"test_state": MaterialTest.FAILED, "accepted_for_contact": True}, "test_state"),
        ({"test_state": MaterialTest.TO_TEST, "accepted_for_case": True}, "test_state"),
        ({"test_state": MaterialTest.TO_TEST, "accepted_for_mount": True}, "test_state"),
    ],
)
def test_a_material_says_what_it_is_and_is_accepted_only_when_it_may_be(
    lab: Lab, values: dict[str, Any], field: str
) -> None:
    before = Material.objects.count()
    with pytest.raises(Refused) as refused:
        material(**values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert Material.objects.count() == before


def test_a_batch_stands_on_record_once_and_is_used_up_once(lab: Lab) -> None:
    said: dict[str, Any] = {"by": lab.marit, "role": Role.CONSERVATOR, "at": AT}
    kept = material(batch="7")
    with pytest.raises(Refused) as refused:
        material(batch="7")
    assert [reason.code for reason in refused.value.reasons] == ["material.twice"]
    use_up_material(**said, material=kept, on=DAY)
    with pytest.raises(Refused, match="was used up on"):
        use_up_material(**said, material=kept, on=DAY + timedelta(days=1))
    assert Material.objects.get(pk=kept.pk).used_up_on == DAY


@pytest.mark.parametrize("role", [Role.CURATOR, Role.MOUNT_MAKER, Role.REGISTRAR])
def test_only_conservators_keep_the_materials(lab: Lab, role: Role) -> None:
    person = make_person(role)
    with pytest.raises(NotAllowed):
        material(by=person, role=role)
    with pytest.raises(NotAllowed):
        use_up_material(by=person, role=role, at=AT, material=make_material("paste"), on=DAY)
