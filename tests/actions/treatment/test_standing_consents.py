"""Standing consents: which minor steps they cover, and what they never cover."""

from datetime import date, timedelta
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    agree_standing_consent,
    end_standing_consent,
    write_standing_consent,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import OwnerKind
from lifecycle.queries.today import TodayLine, today_of
from lifecycle.records.models import (
    Document,
    Organisation,
    OrganisationKind,
    Person,
    Vocabulary,
)
from lifecycle.records.models.treatment import (
    StandingConsent,
)
from tests.actions.treatment.lab import Lab
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_museum,
    make_person,
    make_word,
)
from tests.builders.treatment import (
    HOUR,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db


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


def test_each_of_the_two_is_asked_on_today_until_they_have_agreed() -> None:
    make_museum()
    held = Standing(agreed=False)

    def asked(person: Person) -> list[TodayLine]:
        return [line for line in today_of(person, AT) if line.url_name == "standing-consents"]

    (line,) = asked(held.curator)
    assert line.text == "Agree to SC-0001, or end it: dust, class single sheet."
    assert (line.due_on, line.role) == (DAY, Role.CURATOR)
    held.agree(held.curator, Role.CURATOR)
    assert asked(held.curator) == []
    assert len(asked(held.head)) == 1
    assert asked(held.writer) == []
    held.agree(held.head, Role.HEAD_OF_COLLECTIONS)
    assert asked(held.head) == []


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
    lab = Lab()
    if how == "flag":
        lab.thing.moisture_caution = True
        lab.thing.keep(**kept_by())
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
