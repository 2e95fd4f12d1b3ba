"""The step log: what is refused at which field, deviations, cautions, standing consents."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    MaterialDraft,
    StepDraft,
    agree_standing_consent,
    decide_deviation,
    end_standing_consent,
    log_step,
    write_standing_consent,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import OwnerKind
from lifecycle.records.models import (
    Document,
    MuseumObject,
    Organisation,
    OrganisationKind,
    Person,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.treatment import (
    Decision,
    Material,
    MaterialKind,
    Proposal,
    StandingConsent,
    TreatmentStep,
)
from lifecycle.records.models.work import Message
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
    make_word,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    done,
    hand_of,
    make_material,
    make_sent,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db


class Lab:
    """A consented proposal with mending, washing and paste at 10 %; treatment has begun."""

    def __init__(self, **thing: Any) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.thing: MuseumObject = make_object(**thing)
        self.face = make_face(self.thing)
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=self.thing)
        self.paste: Material = make_material(kind=MaterialKind.TISSUE, name="tissue")
        self.glue: Material = make_material("starch paste")
        version = make_sent(
            self.marit,
            showing=self.showing,
            steps=(StepDraft(step=step_word("mend")), StepDraft(step=step_word("wash"))),
            materials=(
                MaterialDraft(material=self.paste),
                MaterialDraft(material=self.glue, concentration=Decimal(10)),
            ),
        )
        self.proposal: Proposal = version.proposal
        agree(self.wen, version, at=AT)
        put_at(self.showing, Stage.TREATMENT)

    def log(
        self, code: str = "mend", *, at: Any = AT + HOUR, under: bool = True, **values: Any
    ) -> TreatmentStep:
        return log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=max(at, AT + HOUR),
            museum_object=self.thing,
            proposal=self.proposal if under else None,
            showing=None if under else self.showing,
            done=done(step_word(code), at=at, **values),
        )


@pytest.fixture
def lab() -> Lab:
    return Lab()


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"result": "  "}, "result"),
        ({"hours": Decimal(0)}, "hours"),
        ({"hours": Decimal("24.5")}, "hours"),
        ({"minutes": Decimal(-1)}, "minutes"),
        ({"concentration": Decimal(5)}, "material"),
        ({"temperature_c": Decimal(300)}, "temperature_c"),
        ({"removed": "An old label."}, "removed_where"),
        ({"deviation": True}, "deviation_why"),
        ({"emergency": True}, "emergency_reason"),
    ],
)
def test_bad_input_is_refused_at_its_field_and_nothing_is_written(
    lab: Lab, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        lab.log(**values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not TreatmentStep.objects.exists()


def test_a_step_of_the_future_and_a_face_of_another_object_are_refused(lab: Lab) -> None:
    with pytest.raises(Refused, match="in the future"):
        log_step(
            by=lab.marit,
            role=Role.CONSERVATOR,
            at=AT + HOUR,
            museum_object=lab.thing,
            proposal=lab.proposal,
            done=done(step_word("mend"), at=AT + 2 * HOUR),
        )
    with pytest.raises(Refused, match="does not belong to"):
        lab.log(face=make_face())


def test_a_word_of_another_list_is_no_step(lab: Lab) -> None:
    other = make_word(Vocabulary.MOVE_REASON, "audit")
    with pytest.raises(Refused, match="not a treatment step"):
        log_step(
            by=lab.marit,
            role=Role.CONSERVATOR,
            at=AT + HOUR,
            museum_object=lab.thing,
            proposal=lab.proposal,
            done=done(other, at=AT + HOUR),
        )


def test_only_conservators_log(lab: Lab) -> None:
    technician = make_person(Role.TECHNICIAN)
    with pytest.raises(NotAllowed):
        log_step(
            by=technician,
            role=Role.TECHNICIAN,
            at=AT + HOUR,
            museum_object=lab.thing,
            proposal=lab.proposal,
            done=done(step_word("mend"), at=AT + HOUR),
        )


def test_a_new_batch_of_the_same_grade_is_covered_another_grade_is_not(lab: Lab) -> None:
    batch = make_material("starch paste", batch="2")
    assert lab.log(material=batch).material == batch
    other = make_material("starch paste", grade="bought")
    with pytest.raises(Refused, match="speaks for mend with starch paste, bought"):
        lab.log(material=other)


def test_a_stronger_solution_is_a_deviation_and_says_so(lab: Lab) -> None:
    with pytest.raises(Refused) as refused:
        lab.log(material=lab.glue, concentration=Decimal(12))
    assert refused.value.reasons[0].code == "deviation.strength"
    assert lab.log(material=lab.glue, concentration=Decimal(10)).deviation is False


def deviate(lab: Lab) -> TreatmentStep:
    return lab.log(
        material=lab.glue,
        concentration=Decimal(12),
        deviation=True,
        deviation_why="The tear was thicker than thought.",
    )


def test_a_deviation_stops_the_clock_until_it_is_agreed(lab: Lab) -> None:
    step = deviate(lab)
    with pytest.raises(Refused, match=r"clock of .* stands still"):
        lab.log(at=AT + 2 * HOUR)
    decide_deviation(
        hand=hand_of(lab.wen, Role.CURATOR),
        at=AT + 3 * HOUR,
        step=step,
        decision=Decision.AGREE,
    )
    assert lab.log(at=AT + 4 * HOUR).deviation is False


def test_a_refused_deviation_keeps_the_clock_standing_but_not_an_emergency(lab: Lab) -> None:
    step = deviate(lab)
    decide_deviation(
        hand=hand_of(lab.wen, Role.CURATOR),
        at=AT + 3 * HOUR,
        step=step,
        decision=Decision.REFUSE,
        limits="Take it off again.",
    )
    with pytest.raises(Refused, match="stands still"):
        lab.log(at=AT + 4 * HOUR)
    assert lab.log(at=AT + 4 * HOUR, emergency=True, emergency_reason="A flake lifts.").emergency


def test_a_deviation_is_decided_by_those_the_version_needs(lab: Lab) -> None:
    step = deviate(lab)
    with pytest.raises(NotAllowed):
        decide_deviation(
            hand=hand_of(lab.marit, Role.CONSERVATOR),
            at=AT + 3 * HOUR,
            step=step,
            decision=Decision.AGREE,
        )


def test_what_no_version_speaks_for_is_refused_even_as_a_deviation(lab: Lab) -> None:
    with pytest.raises(Refused, match="speaks for bleach"):
        lab.log("bleach", deviation=True, deviation_why="It was so brown.")


def test_the_database_itself_refuses_a_step_that_nothing_covers(lab: Lab) -> None:
    row = TreatmentStep(
        museum_object=lab.thing,
        observed_at=AT,
        observed_by=lab.marit,
        entered_at=AT,
        entered_by=lab.marit,
        step=step_word("mend"),
        result="Holds.",
        hours=Decimal(1),
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        row.append()


def test_a_wet_step_on_ink_asks_for_a_reason_and_names_its_source() -> None:
    """Moisture and some solvents harm iron-gall ink: common practice, warned, never barred."""
    ink = make_word(Vocabulary.MATERIAL, "iron-gall-ink")
    lab = Lab()
    lab.thing.materials.add(ink)
    with pytest.raises(Refused) as refused:
        lab.log("wash")
    (reason,) = refused.value.reasons
    assert (reason.field, reason.code) == ("caution_reason", "caution.moisture")
    assert "common practice" in reason.text
    assert lab.log("wash", caution_reason="Tested, it does not run.").caution_reason


def test_a_dry_step_on_ink_asks_for_nothing() -> None:
    assert Lab(moisture_caution=True).log("mend", material=None).pk


def test_an_emergency_on_a_loan_tells_curator_lender_and_registrar() -> None:
    trust = Organisation(name="Saltmarsh Trust", kind=OrganisationKind.LENDER).keep(**kept_by())
    lab = Lab(owner_kind=OwnerKind.LENDER, lender=trust)
    registrar = make_person(Role.REGISTRAR)
    bystander = make_person(Role.CURATOR)
    step = lab.log("consolidate", emergency=True, emergency_reason="A flake lifts.")
    told = set(Message.objects.values_list("person__full_name", flat=True))
    assert told == {lab.wen.full_name, registrar.full_name}
    assert bystander.full_name not in told
    assert all("lender has to be told today" in m.body for m in Message.objects.all())
    assert step.emergency_reason == "A flake lifts."


class Standing:
    """A standing consent for dusting single sheets, agreed by both."""

    def __init__(self, *, agreed: bool = True) -> None:
        self.head = make_person(Role.HEAD_OF_COLLECTIONS)
        self.curator = make_person(Role.CURATOR)
        self.writer = make_person(Role.CONSERVATOR)
        self.row: StandingConsent = write_standing_consent(
            by=self.writer,
            role=Role.CONSERVATOR,
            at=AT - HOUR,
            object_type=make_word(Vocabulary.OBJECT_TYPE, "single-sheet"),
            steps=[step_word("dust")],
            limits="Soft brush only.",
            from_on=DAY,
            until_on=DAY + timedelta(days=30),
        )
        if agreed:
            self.agree(self.curator, Role.CURATOR)
            self.agree(self.head, Role.HEAD_OF_COLLECTIONS)

    def agree(self, person: Person, role: Role, *, at: Any = AT) -> None:
        agree_standing_consent(by=person, role=role, at=at, standing=self.row)


def test_a_minor_step_names_the_standing_consent_that_covers_it(lab: Lab) -> None:
    held = Standing()
    put_at(lab.showing, Stage.MOUNTING)
    assert lab.log("dust", under=False).standing == held.row
    with pytest.raises(Refused, match="No standing consent covers mend"):
        lab.log("mend", under=False)


@pytest.mark.parametrize("missing", ["curator", "head"])
def test_it_counts_only_when_both_have_agreed(lab: Lab, missing: str) -> None:
    held = Standing(agreed=False)
    if missing == "head":
        held.agree(held.curator, Role.CURATOR)
    else:
        held.agree(held.head, Role.HEAD_OF_COLLECTIONS)
    with pytest.raises(Refused, match="No standing consent covers dust"):
        lab.log("dust", under=False)


def test_it_does_not_reach_back_before_it_was_agreed_nor_past_its_end(lab: Lab) -> None:
    held = Standing(agreed=False)
    held.agree(held.curator, Role.CURATOR, at=AT + 2 * HOUR)
    held.agree(held.head, Role.HEAD_OF_COLLECTIONS, at=AT + 2 * HOUR)
    with pytest.raises(Refused, match="No standing consent covers dust"):
        lab.log("dust", under=False, at=AT + HOUR)
    with pytest.raises(Refused, match="No standing consent covers dust"):
        lab.log("dust", under=False, at=AT + timedelta(days=31))
    end_standing_consent(
        by=held.head,
        role=Role.HEAD_OF_COLLECTIONS,
        at=AT + 5 * HOUR,
        standing=held.row,
        why="Dust was rubbed in.",
    )
    with pytest.raises(Refused, match="No standing consent covers dust"):
        lab.log("dust", under=False, at=AT + 6 * HOUR)


@pytest.mark.parametrize("how", ["flag", "material"])
def test_it_never_covers_an_object_with_an_ink_or_moisture_caution(how: str) -> None:
    lab = Lab(moisture_caution=how == "flag")
    if how == "material":
        lab.thing.materials.add(make_word(Vocabulary.MATERIAL, "iron-gall-ink"))
    Standing()
    with pytest.raises(Refused, match="a caution applies"):
        lab.log("dust", under=False)


def test_it_never_covers_a_loan_without_the_lenders_writing() -> None:
    trust = Organisation(name="Saltmarsh Trust", kind=OrganisationKind.LENDER).keep(**kept_by())
    lab = Lab(owner_kind=OwnerKind.LENDER, lender=trust)
    held = Standing()
    with pytest.raises(Refused, match="no standing consent with the lender's writing"):
        lab.log("dust", under=False)
    letter = Document(
        sha256="c" * 64,
        name="l.pdf",
        mime="application/pdf",
        size_bytes=9,
        title="Letter",
        entered_at=AT,
    ).keep(**kept_by())
    written = write_standing_consent(
        by=held.writer,
        role=Role.CONSERVATOR,
        at=AT - HOUR,
        object_type=lab.thing.object_type,
        steps=[step_word("dust")],
        limits="As the lender wrote.",
        from_on=DAY,
        until_on=DAY,
        lender=trust,
        lender_writing=letter,
    )
    held.row = written
    held.agree(held.curator, Role.CURATOR)
    held.agree(held.head, Role.HEAD_OF_COLLECTIONS)
    assert lab.log("dust", under=False).standing == written


def test_steps_that_bring_moisture_are_never_minor() -> None:
    make_museum()
    with pytest.raises(Refused, match="never a minor step"):
        write_standing_consent(
            by=make_person(Role.CONSERVATOR),
            role=Role.CONSERVATOR,
            at=AT,
            object_type=make_word(Vocabulary.OBJECT_TYPE, "single-sheet"),
            steps=[step_word("humidify")],
            limits="A little.",
            from_on=date(2026, 6, 1),
            until_on=date(2026, 7, 1),
        )


def test_a_wet_material_is_not_slipped_in_under_a_dry_step(lab: Lab) -> None:
    Standing()
    with pytest.raises(Refused, match="never covers a step that brings moisture"):
        lab.log("dust", under=False, material=lab.glue)


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.REGISTRAR, Role.STEWARD])
def test_a_standing_consent_is_agreed_by_curator_and_head_alone(lab: Lab, role: Role) -> None:
    held = Standing(agreed=False)
    with pytest.raises(NotAllowed):
        held.agree(make_person(role), role)
    with pytest.raises(NotAllowed):
        held.agree(make_person(role), Role.CURATOR)
