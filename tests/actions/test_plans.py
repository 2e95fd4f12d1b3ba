"""Plans of galleries: versions stay, points lie on the newest one, nothing lies beside it."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.places import retire_reading_point
from lifecycle.actions.plans import keep_plan, put_points_on_plan
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.plans import earlier_spots, plan_of, plans_with
from lifecycle.records.models import Person, Place, PlacePlan, PlanSpot, ReadingPoint
from tests.builders.core import AT, DAY, kept_by, make_museum, make_person, make_place
from tests.builders.display import a_photo
from tests.builders.light import make_point

pytestmark = pytest.mark.django_db
HERE = (Decimal("25"), Decimal("40.5"))


@pytest.fixture
def marit() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR)


@pytest.fixture
def room() -> Place:
    return make_place(kind=PlaceKind.ROOM, name="North Gallery")


def keep(by: Person, place: Place, **changes: Any) -> PlacePlan:
    said: dict[str, Any] = {
        "role": Role.CONSERVATOR, "at": AT, "picture": a_photo().data, "picture_name": "plan.png",
        "drawn_by": "Bram Oduya", "drawn_on": DAY,
    }  # fmt: skip
    return keep_plan(by=by, place=place, **(said | changes))


def put(by: Person, plan: PlacePlan, *points: ReadingPoint, at: Any = HERE) -> int:
    return put_points_on_plan(
        by=by, role=Role.CONSERVATOR, at=AT, plan=plan, spots={point.pk: at for point in points}
    )


def test_a_newer_plan_takes_over_and_the_points_of_the_old_one_are_only_proposed(
    marit: Person, room: Place
) -> None:
    case = make_place(kind=PlaceKind.CASE, parent=room, name="N4")
    a, b = make_point(case), make_point(case, letter="B")
    first = keep(marit, room)
    assert put(marit, first, a, b) == 2
    (shown,) = plans_with([a])
    assert [(spot.label, spot.across, spot.down) for spot in shown.spots] == [
        ("A", 25, 40.5), ("B", 25, 40.5),
    ]  # fmt: skip
    assert [spot.label for spot in shown.of([b])] == ["B"]
    second = keep(marit, room, drawn_by="Rufus Tiller")
    assert (second.number, plans_with([a])) == (2, [])
    kept = plan_of(room)
    assert kept is not None
    assert (kept.plan, list(kept.earlier), list(kept.spots)) == (second, [first], [])
    assert earlier_spots(second) == {a.pk: (25, 40.5), b.pk: (25, 40.5)}
    with pytest.raises(Refused, match="newer plan"):
        put(marit, first, a)


def test_a_point_is_moved_and_taken_off_with_its_history(marit: Person, room: Place) -> None:
    point = make_point(room)
    plan = keep(marit, room)
    put(marit, plan, point)
    put(marit, plan, point)
    assert put(marit, plan, point, at=None) == 0
    row = PlanSpot.objects.get()
    assert [one.history_change_reason for one in row.history.order_by("history_id")] == [
        "Put on the plan.", "Taken off the plan.",
    ]  # fmt: skip
    put(marit, plan, point)
    retire_reading_point(by=marit, role=Role.CONSERVATOR, at=AT, point=point, why="Case moved.")
    assert plans_with([point]) == []
    with pytest.raises(Refused, match="retired"):
        put(marit, plan, point)


def test_a_plan_says_who_drew_it_and_when(marit: Person, room: Place) -> None:
    with pytest.raises(Refused) as refused:
        keep(marit, room, drawn_by=" ", drawn_on=DAY + timedelta(days=1))
    assert {reason.field for reason in refused.value.reasons} == {"drawn_by", "drawn_on"}
    with pytest.raises(Refused, match="picture"):
        keep(marit, room, picture=b"a word")
    shelf = make_place(kind=PlaceKind.SHELF, name="A1")
    with pytest.raises(Refused, match="a building, a room or a case"):
        keep(marit, shelf)


def test_points_of_other_places_and_beside_the_drawing_are_refused(
    marit: Person, room: Place
) -> None:
    plan, point = keep(marit, room), make_point(room)
    with pytest.raises(Refused, match="another place"):
        put(marit, plan, make_point(make_place(kind=PlaceKind.CASE, name="S9")))
    with pytest.raises(Refused, match="beside the plan") as refused:
        put(marit, plan, point, at=(Decimal("100.01"), Decimal(0)))
    assert [reason.field for reason in refused.value.reasons] == [f"across_{point.pk}"]
    for across, down in ((Decimal(101), Decimal(5)), (Decimal(5), None)):
        row = PlanSpot(plan=plan, point=point, across=across, down=down)
        with pytest.raises(IntegrityError, match="plan_spot_on_the_plan"), transaction.atomic():
            row.keep(**kept_by())


def test_only_who_keeps_reading_points_keeps_plans(room: Place) -> None:
    make_museum()
    gil = make_person(Role.ATTENDANT)
    with pytest.raises(NotAllowed):
        keep(gil, room, role=Role.ATTENDANT)
    plan = keep(make_person(Role.STEWARD), room, role=Role.STEWARD)
    with pytest.raises(NotAllowed):
        put_points_on_plan(by=gil, role=Role.ATTENDANT, at=AT, plan=plan, spots={})


def test_points_with_one_letter_each_are_called_by_it_the_others_with_their_place(
    marit: Person, room: Place
) -> None:
    case = make_place(kind=PlaceKind.CASE, parent=room, name="N2")
    position = make_place(parent=case, name="N2b")
    points = [make_point(case), make_point(position), make_point(position, letter="B")]
    plan = keep(marit, room)
    put(marit, plan, points[0], points[2])
    assert [spot.label for spot in plans_with(points)[0].spots] == ["A", "B"]
    put(marit, plan, points[1])
    assert [spot.label for spot in plans_with(points)[0].spots] == ["N2 A", "N2b", "N2b A"]
