"""The step log: what is refused at which field, deviations, cautions, standing consents."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    decide_deviation,
    log_step,
)
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.records.models import (
    DeputyTerm,
    Organisation,
    OrganisationKind,
    Vocabulary,
)
from lifecycle.records.models.treatment import (
    Decision,
    TreatmentStep,
)
from lifecycle.records.models.work import Message
from tests.actions.treatment.lab import Lab
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_person,
    make_word,
)
from tests.builders.treatment import (
    HOUR,
    done,
    hand_of,
    make_material,
    step_word,
)

pytestmark = pytest.mark.django_db


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
    assert (reason.field, reason.code) == ("caution_reason", "caution.iron_gall_ink.moisture")
    assert "irongallink.org" in reason.text
    assert lab.log("wash", caution_reason="Tested, it does not run.").caution_reason


def test_a_dry_step_on_ink_asks_for_nothing() -> None:
    lab = Lab()
    lab.thing.materials.add(make_word(Vocabulary.MATERIAL, "iron-gall-ink"))
    assert lab.log("mend", material=None).pk


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


def test_a_deputy_decides_on_a_deviation_in_the_curators_place_and_the_curator_over_them(
    lab: Lab,
) -> None:
    stand_in = make_person(name="Ines Rook")
    DeputyTerm(
        for_person=lab.wen, deputy=stand_in, role=Role.CURATOR, from_on=DAY, until_on=DAY
    ).keep(**kept_by())
    step = lab.log(deviation=True, deviation_why="Thicker.")
    said: dict[str, Any] = {"at": AT + HOUR, "step": step}
    no = decide_deviation(
        hand=hand_of(stand_in, Role.CURATOR), decision=Decision.REFUSE, limits="No.", **said
    )
    assert (no.for_person, no.deputy_term is not None) == (lab.wen, True)
    decide_deviation(hand=hand_of(lab.wen, Role.CURATOR), decision=Decision.AGREE, **said)
    assert lab.log(at=AT + 2 * HOUR).pk
