"""A day is the museum's day: just past midnight in Auckland it is still yesterday in UTC."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.work.messages import tell
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.papers_out import papers_out
from lifecycle.queries.papers_to_print import printables
from lifecycle.queries.printable import Asked
from lifecycle.queries.rights import person_facts
from lifecycle.queries.second_factor import AtTheDoor
from tests.builders.core import DAY, make_museum, make_person, make_place, make_showing
from tests.builders.display import put_at
from tests.builders.printing import make_movement, printed

pytestmark = pytest.mark.django_db

BEFORE_MIDNIGHT = datetime(2026, 6, 2, 11, 59, tzinfo=UTC)
PAST_MIDNIGHT = datetime(2026, 6, 2, 12, 1, tzinfo=UTC)
NEXT = DAY + timedelta(days=1)


@pytest.fixture(autouse=True)
def auckland() -> None:
    make_museum(zone="Pacific/Auckland")


def registrar() -> Any:
    return person_facts(make_person(Role.REGISTRAR), PAST_MIDNIGHT)


def test_a_move_in_the_journal_is_of_the_museums_day() -> None:
    showing = put_at(make_showing(), Stage.EXAMINATION, PAST_MIDNIGHT)
    made = facts_of_one(showing, PAST_MIDNIGHT).journal[-1]
    assert made.at == PAST_MIDNIGHT
    assert made.at.date() == NEXT


def test_an_arrival_is_of_the_museums_day() -> None:
    showing, carrier = make_showing(), make_person(Role.CONSERVATOR)
    make_movement(
        showing.museum_object,
        to_place=make_place(kind=PlaceKind.BENCH),
        handed_over_by=carrier,
        received_by=carrier,
        left_at=BEFORE_MIDNIGHT,
        arrived_at=PAST_MIDNIGHT,
    )
    moved = facts_of_one(showing, PAST_MIDNIGHT).last_moved_at
    assert moved is not None
    assert (moved, moved.date()) == (PAST_MIDNIGHT, NEXT)


def test_a_print_grows_a_day_older_at_the_museums_midnight() -> None:
    printed(make_movement(), at=BEFORE_MIDNIGHT)
    printed(make_movement(), at=PAST_MIDNIGHT)
    rows = papers_out(registrar(), PAST_MIDNIGHT + timedelta(hours=8))
    assert [row.age_days for row in rows] == [1, 0]


def test_a_movement_past_midnight_is_printed_for_the_museums_day() -> None:
    early = make_movement(planned_for=BEFORE_MIDNIGHT)
    late = make_movement(planned_for=PAST_MIDNIGHT)
    who = registrar()
    for day, movement in ((DAY, early), (NEXT, late)):
        rows = printables(who, BEFORE_MIDNIGHT, Asked(day=day), TO_PRINT)
        assert [row.number for row in rows] == [movement.movement_no]


def test_a_persons_last_day_ends_with_the_museums_day() -> None:
    last_day = make_person(ends_on=DAY)
    words = {"subject": "An incident", "body": "Look at it."}
    assert tell(person=last_day, key="a", at=BEFORE_MIDNIGHT, **words) is not None
    assert tell(person=last_day, key="b", at=PAST_MIDNIGHT, **words) is None


def test_days_of_grace_run_from_the_museums_day_of_the_account() -> None:
    person = make_person(Role.REGISTRAR)
    assert person.account is not None
    person.account.date_joined = PAST_MIDNIGHT
    door = AtTheDoor(
        person=person,
        rule="everyone",
        named_roles=frozenset(),
        grace_days=7,
        rule_since=DAY,
    )
    asked = door.set_up_by(person_facts(person, PAST_MIDNIGHT), person.account)
    assert asked == NEXT + timedelta(days=7)
