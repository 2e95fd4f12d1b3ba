"""Places: what lies in what, names once under a parent, nothing closed with an object in it."""

from dataclasses import replace
from typing import Any

import pytest

from lifecycle.actions.places import (
    LIES_IN,
    PlaceDetails,
    add_place,
    add_reading_point,
    change_place,
    close_place,
    retire_reading_point,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Person, Place
from tests.builders.core import AT, DAY, make_museum, make_object, make_person, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward() -> Person:
    make_museum()
    return make_person(Role.STEWARD)


def refused_fields(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.field for reason in refused.value.reasons}


def add(by: Person, details: PlaceDetails) -> Place:
    return add_place(by=by, role=Role.STEWARD, at=AT, details=details)


def test_every_kind_says_what_it_lies_in() -> None:
    assert set(LIES_IN) == set(PlaceKind)


def test_the_tree_of_the_trade_can_be_built(steward: Person) -> None:
    site = add(steward, PlaceDetails(name="Museum", kind=PlaceKind.SITE))
    above = site
    for kind in (PlaceKind.BUILDING, PlaceKind.ROOM, PlaceKind.CASE, PlaceKind.POSITION):
        above = add(steward, PlaceDetails(name=kind.label, kind=kind, parent=above))
    assert len(above.code) == 7


def test_a_case_does_not_lie_in_a_shelf(steward: Person) -> None:
    shelf = make_place(kind=PlaceKind.SHELF)
    with pytest.raises(Refused, match="not in a shelf") as refused:
        add(steward, PlaceDetails(name="N4", kind=PlaceKind.CASE, parent=shelf))
    assert refused_fields(refused) == {"parent"}


def test_a_position_needs_a_case_or_room(steward: Person) -> None:
    with pytest.raises(Refused) as refused:
        add(steward, PlaceDetails(name="left", kind=PlaceKind.POSITION))
    assert refused_fields(refused) == {"parent"}


def test_a_name_stands_once_under_its_parent(steward: Person) -> None:
    room = make_place(kind=PlaceKind.ROOM)
    details = PlaceDetails(name="N4", kind=PlaceKind.CASE, parent=room)
    add(steward, details)
    with pytest.raises(Refused) as refused:
        add(steward, replace(details, name="n4"))
    assert refused_fields(refused) == {"name"}


def test_a_place_cannot_be_put_inside_itself(steward: Person) -> None:
    site = make_place("Museum", PlaceKind.SITE)
    building = make_place("Main", PlaceKind.BUILDING, parent=site)
    with pytest.raises(Refused) as refused:
        change_place(
            by=steward,
            role=Role.STEWARD,
            at=AT,
            place=site,
            details=PlaceDetails(name="Museum", kind=PlaceKind.BUILDING, parent=building),
            why="A slip.",
        )
    assert "parent" in refused_fields(refused)


def test_a_place_with_an_object_in_it_stays_open(steward: Person) -> None:
    shelf = make_place(kind=PlaceKind.SHELF)
    make_object(normal_location=shelf, object_number="HCM.1908.12")
    with pytest.raises(Refused, match=r"HCM\.1908\.12"):
        close_place(by=steward, role=Role.STEWARD, at=AT, place=shelf, why="Emptied.")
    shelf.refresh_from_db()
    assert shelf.closed_on is None


def test_an_empty_place_closes_on_the_museums_day(steward: Person) -> None:
    shelf = make_place(kind=PlaceKind.SHELF)
    assert (
        close_place(by=steward, role=Role.STEWARD, at=AT, place=shelf, why="Taken down.").closed_on
        == DAY
    )


@pytest.mark.parametrize("role", [Role.CURATOR, Role.ATTENDANT, Role.TECHNICIAN])
def test_other_roles_keep_no_places(role: Role) -> None:
    make_museum()
    with pytest.raises(NotAllowed):
        add_place(
            by=make_person(role),
            role=role,
            at=AT,
            details=PlaceDetails(name="Museum", kind=PlaceKind.SITE),
        )


def test_a_conservator_fixes_a_reading_point_once(steward: Person) -> None:
    conservator, case = make_person(Role.CONSERVATOR), make_place(kind=PlaceKind.CASE)
    acting: dict[str, Any] = {"by": conservator, "role": Role.CONSERVATOR, "at": AT}
    point = add_reading_point(**acting, place=case, letter="a", label="Left third, facing up")
    assert point.letter == "A"
    with pytest.raises(Refused) as refused:
        add_reading_point(**acting, place=case, letter="A", label="")
    assert refused_fields(refused) == {"letter", "label"}
    retired = retire_reading_point(**acting, point=point, why="Case turned round.")
    assert retired.retired_on == DAY
