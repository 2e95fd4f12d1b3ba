"""A light event shortens the days in hand of exactly the objects it reached."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.light import report_light_event, take_reading
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.queries.light import account_of, light_of
from lifecycle.queries.light.reach import reached_by
from lifecycle.records.models import Face, LightEvent, Person, Place, Showing
from lifecycle.records.models.light import ChangeOfLight
from tests.builders.core import AT, make_face, make_museum, make_person, make_place
from tests.builders.light import hang, make_case, make_meter, read_light, want

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]
OPENED = datetime(2026, 3, 14, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def reader() -> Person:
    return make_person(Role.CONSERVATOR)


def shown(case: Place, reader: Person) -> tuple[Face, Showing, Place]:
    """A face under 40 lx since March, read each month in its own position."""
    face, place = make_face(), make_place(parent=case)
    for month in range(3, 7):
        read_light(place, "40", datetime(2026, month, 14, tzinfo=UTC), by=reader)
    period = hang(face, place, opened_at=OPENED)
    want(period.showing, face)
    return face, period.showing, place


def last_days(showings: list[Showing], at: datetime) -> dict[int, list[tuple[Any, Any]]]:
    found = light_of(showings, at)
    return {
        pk: [(one.last_day, one.days_in_hand) for one in row.faces] for pk, row in found.items()
    }


def event(place: Place, at: datetime, **values: Any) -> None:
    gil = make_person(Role.ATTENDANT)
    values.setdefault("what", ChangeOfLight.LAMP_REPLACED)
    values.setdefault("from_at", at - timedelta(hours=2))
    report_light_event(by=gil, role=Role.ATTENDANT, at=at, place=place, **values)


def test_an_event_changes_the_days_of_exactly_the_objects_it_reached(reader: Person) -> None:
    at = datetime(2026, 6, 20, 15, 5, tzinfo=UTC)
    here, elsewhere = make_case(), make_case()
    a, b = shown(here, reader), shown(here, reader)
    other = shown(elsewhere, reader)
    showings = [one[1] for one in (a, b, other)]
    before = last_days(showings, at)
    event(a[2], at)  # one lamp over one position

    def changed() -> set[int]:
        after = last_days(showings, at)
        return {pk for pk in after if after[pk] != before[pk]}

    assert changed() == {a[1].pk}
    assert [one.period.face for one in reached_by(a[2], at)] == [a[0]]
    event(here, at)  # a filter over the whole case
    assert changed() == {a[1].pk, b[1].pk}
    assert {one.period.face.pk for one in reached_by(here, at)} == {a[0].pk, b[0].pk}
    shorter = {one.period.showing_id: one.last_day for one in reached_by(here, at)}
    for pk in changed():
        ((then, _),) = before[pk]
        assert shorter[pk] is not None
        assert shorter[pk] < then
    for one in reached_by(here, at, event=LightEvent.objects.latest("pk")):
        ((_, days),) = before[one.period.showing_id]
        assert one.days_before == days
        assert one.days_in_hand is not None
        assert one.days_in_hand < days
    room = here.parent
    assert room is not None
    assert {one.period.face.pk for one in reached_by(room, at)} == {a[0].pk, b[0].pk}


def test_the_same_change_in_one_minute_is_told_once_and_two_different_ones_both_count(
    reader: Person,
) -> None:
    at = datetime(2026, 6, 20, 15, 5, tzinfo=UTC)
    face, _, place = shown(make_case(), reader)
    minute = at - timedelta(hours=2)
    event(place, at, what=ChangeOfLight.DIMMED, from_at=minute)
    with pytest.raises(Refused, match="for the same minute"):
        event(place, at, what=ChangeOfLight.DIMMED, from_at=minute + timedelta(seconds=40))
    once = account_of(face, at).spent
    event(place, at, what=ChangeOfLight.RE_AIMED, from_at=minute)
    assert place.light_events.count() == 2
    # Nothing lies between two changes of one minute: the light is void from then on, as with one.
    assert account_of(face, at).spent == once


def test_a_reading_from_before_the_install_is_the_places_and_not_the_objects(
    reader: Person,
) -> None:
    face, showing, place = shown(make_case(), reader)
    early: dict[str, Any] = {
        "by": reader, "role": Role.CONSERVATOR, "at": AT, "place": place, "lux": 44, "point": None,
        "read_at": OPENED - timedelta(minutes=3), "instrument": make_meter(),
    }  # fmt: skip
    with pytest.raises(Refused, match="put up after this reading"):
        take_reading(**early, showing=showing, face=face)
    kept = take_reading(**early)
    assert kept.showing is None


@pytest.mark.parametrize("number", [1, 3])
def test_what_an_event_reached_takes_as_many_questions_for_one_as_for_three(
    number: int, reader: Person, django_assert_num_queries: Counted
) -> None:
    case = make_case()
    for _ in range(number):
        shown(case, reader)
    with django_assert_num_queries(25):
        reached_by(case, AT)
