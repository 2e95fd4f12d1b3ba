"""What the forms of movements and planned days begin with, by where the object stands."""

from datetime import UTC, date, datetime, timedelta

import pytest

from lifecycle.process.stages import Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.display.beginnings import day_on, way_on
from lifecycle.queries.worked_back import schedule_of
from lifecycle.records.models import Place, Showing
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import make_exhibition, make_object, make_place
from tests.builders.display import (
    face_of,
    make_case,
    make_crew,
    on_display,
    planned_showing,
    put_at,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)


def places() -> tuple[Place, Place, Place]:
    """A bench, a shelf, a position."""
    _, (position,) = make_case("N1", 1)
    bench = make_place("Paper Laboratory", PlaceKind.BENCH)
    return bench, make_place("B3", PlaceKind.SHELF), position


@pytest.mark.parametrize(
    ("stage", "goal", "reason"),
    [
        (Stage.EXAMINATION, "bench", "examine"),
        (Stage.TREATMENT, "bench", "treat"),
        (Stage.READY, "position", "install"),
        (Stage.DEINSTALL_CHECK, "bench", "deinstall"),
        (Stage.REHOUSING, None, ""),
        (Stage.SELECTION, None, ""),
    ],
)
def test_the_way_on_follows_the_stage(stage: Stage, goal: str | None, reason: str) -> None:
    bench, shelf, position = places()
    thing = make_object(current_location=shelf, normal_location=shelf)
    showing = put_at(planned_showing(make_exhibition(), position, museum_object=thing), stage)
    way = way_on(showing, thing)
    named = {"bench": bench, "position": position, None: None}
    assert (way.to_place, way.reason) == (named[goal], reason)
    assert way.likely[0] == shelf


def test_of_two_benches_none_is_guessed_before_the_object_was_at_one() -> None:
    _, shelf, position = places()
    make_place("Objects Laboratory", PlaceKind.BENCH)
    thing = make_object(current_location=shelf)
    showing = put_at(planned_showing(make_exhibition(), position, museum_object=thing), Stage.READY)
    assert way_on(put_at(showing, Stage.EXAMINATION), thing).to_place is None


def test_an_object_not_up_is_installed_with_its_first_face() -> None:
    _, _, position = places()
    showing = planned_showing(
        make_exhibition(install_from=date(2026, 5, 20), opens=date(2026, 6, 1)), position, faces=2
    )
    first = day_on(showing, TODAY)
    assert first.kind is AppointmentKind.INSTALL
    assert (first.day, first.from_face) == (date(2026, 5, 20), None)
    assert first.to_face == face_of(showing, 1)


def test_what_is_wanted_after_the_opening_is_installed_when_it_is_wanted() -> None:
    """The days that made things are due by count back from the same day."""
    _, _, position = places()
    showing = planned_showing(
        make_exhibition(), position, faces=2, show_from=date(2026, 6, 8), show_to=date(2026, 8, 3)
    )
    assert day_on(showing, TODAY).day == date(2026, 6, 8)
    due = schedule_of(showing, NOW)
    assert due.mount([face_of(showing, 1).pk]).on == date(2026, 5, 18)
    assert due.facsimile(face_of(showing, 2).pk).on == date(2026, 5, 25)


def shown(faces: int) -> Showing:
    _, _, position = places()
    return on_display(make_crew(), position, NOW, faces=faces)


def test_an_object_that_is_up_is_turned_to_its_next_face() -> None:
    showing = shown(2)
    following = day_on(showing, TODAY)
    assert following.kind is AppointmentKind.TURN
    assert (following.from_face, following.to_face) == (face_of(showing, 1), face_of(showing, 2))


def test_the_last_face_is_taken_down_the_day_after_its_last() -> None:
    showing = shown(1)
    following = day_on(showing, TODAY)
    assert following.kind is AppointmentKind.DEINSTALL
    assert following.day == showing.show_to + timedelta(days=1)


def test_a_day_that_is_past_is_not_proposed() -> None:
    showing = shown(1)
    assert day_on(showing, showing.show_to + timedelta(days=9)).day is None


def test_the_kind_asked_for_wins() -> None:
    showing = shown(2)
    assert day_on(showing, TODAY, AppointmentKind.DEINSTALL).kind is AppointmentKind.DEINSTALL
