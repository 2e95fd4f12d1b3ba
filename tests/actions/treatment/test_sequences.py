"""Sequences of usual steps: written once, logged together or not at all, each under its consent."""

from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.actions.treatment.sequences import (
    UsualStep,
    log_sequence,
    put_sequence_away,
    write_sequence,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.treatment.sequences import batches_for, sequences_in_use
from lifecycle.records.models import Person, Vocabulary
from lifecycle.records.models.treatment import StepSequence, TreatmentStep
from tests.actions.treatment.lab import Lab
from tests.builders.core import AT, DAY, make_museum, make_person, make_word
from tests.builders.treatment import HOUR, done, make_material, put_at, step_word

pytestmark = pytest.mark.django_db


@pytest.fixture
def marit(db: None) -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR)


def usual(code: str = "mend", **values: Any) -> UsualStep:
    values.setdefault("hours", Decimal("0.25"))
    return UsualStep(step=step_word(code), **values)


def write(marit: Person, *lines: UsualStep, **values: Any) -> StepSequence:
    said = {"name": "Local mend", "used_for": ""} | values
    return write_sequence(by=marit, role=Role.CONSERVATOR, at=AT, lines=lines, **said)


def test_a_saved_sequence_is_changed_row_by_row_and_loses_none_of_its_history(
    marit: Person,
) -> None:
    made = write(marit, usual(), usual("press"))
    again = write(marit, usual("wash"), sequence=made, edition=1)
    lines = again.lines.filter(left_out=False)
    assert [line.step.code for line in lines] == ["wash"]
    assert again.lines.count() == 2
    with pytest.raises(Conflict):
        write(marit, usual(), sequence=made, edition=1)
    longer = write(marit, usual("wash"), usual("press"), sequence=made, edition=2)
    lines = longer.lines.filter(left_out=False).order_by("order")
    assert [line.step.code for line in lines] == ["wash", "press"]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"minutes": Decimal(-1)}, "below nothing"),
        ({"hours": Decimal(0)}, "between 0 and 24"),
        ({"concentration": Decimal(10)}, "name the material"),
        ({"concentration": Decimal(101), "material_name": "paste"}, "percentage"),
    ],
)
def test_figures_that_cannot_be_true_are_refused(
    marit: Person, values: dict[str, Any], words: str
) -> None:
    with pytest.raises(Refused, match=words):
        write(marit, usual(**values))
    assert not StepSequence.objects.exists()


def test_a_sequence_has_a_name_of_its_own_steps_and_a_conservator(marit: Person) -> None:
    with pytest.raises(Refused) as refused:
        write(marit, name=" ")
    assert [reason.field for reason in refused.value.reasons] == ["name", "lines"]
    other = UsualStep(step=make_word(Vocabulary.MATERIAL, "rag-paper"), hours=Decimal(1))
    with pytest.raises(Refused, match="not a treatment step"):
        write(marit, other)
    write(marit, usual())
    with pytest.raises(Refused, match="on record already"):
        write(marit, usual())
    with pytest.raises(NotAllowed):
        write_sequence(
            by=make_person(Role.CURATOR),
            role=Role.CURATOR,
            at=AT,
            name="x",
            used_for="",
            lines=[usual()],
        )


def test_one_put_away_is_offered_no_longer(marit: Person) -> None:
    made = write(marit, usual())
    put_sequence_away(by=marit, role=Role.CONSERVATOR, at=AT, sequence=made, away=True)
    assert list(sequences_in_use()) == []
    put_sequence_away(by=marit, role=Role.CONSERVATOR, at=AT, sequence=made, away=False)
    assert list(sequences_in_use()) == [made]
    with pytest.raises(NotAllowed):
        put_sequence_away(
            by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT, sequence=made, away=True
        )


def test_the_batch_opened_last_is_offered_and_a_used_up_one_is_not(marit: Person) -> None:
    make_material("paste", batch="1", opened_on=DAY.replace(month=1))
    newest = make_material("paste", batch="2", opened_on=DAY.replace(month=3))
    make_material("paste", batch="3", opened_on=DAY.replace(month=4), used_up_on=DAY)
    made = write(marit, usual(material_name="paste"), usual(material_name="no such thing"))
    lines = list(made.lines.order_by("order"))
    assert batches_for(lines) == {lines[0].pk: newest}


def run(lab: Lab, *codes: str, **values: Any) -> tuple[TreatmentStep, ...]:
    at = AT + HOUR
    steps = [(n, done(step_word(code), at=at, **values)) for n, code in enumerate(codes, start=1)]
    return log_sequence(
        by=lab.marit,
        role=Role.CONSERVATOR,
        at=at,
        museum_object=lab.thing,
        proposal=lab.proposal,
        done=steps,
    )


def test_all_steps_are_logged_in_their_order_under_the_version(lab: Lab) -> None:
    made = run(lab, "wash", "mend")
    assert [step.step.code for step in made] == ["wash", "mend"]
    assert {step.version.version for step in made if step.version} == {1}


def test_one_step_without_consent_holds_all_back_and_names_its_row(lab: Lab) -> None:
    with pytest.raises(Refused) as refused:
        run(lab, "mend", "press", "wash")
    assert [r.field for r in refused.value.reasons] == ["row-2-step"]
    assert [r.code for r in refused.value.reasons] == ["consent.not_planned"]
    assert not TreatmentStep.objects.exists()


def test_what_is_of_the_whole_proposal_names_no_row(lab: Lab) -> None:
    put_at(lab.showing, Stage.MOUNTING)
    with pytest.raises(Refused) as refused:
        run(lab, "mend")
    assert {(r.field, r.code) for r in refused.value.reasons} == {("", "treatment.not_begun")}


def test_nothing_ticked_is_nothing_logged(lab: Lab) -> None:
    with pytest.raises(Refused, match="Tick at least one"):
        run(lab)
