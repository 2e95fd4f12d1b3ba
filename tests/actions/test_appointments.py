"""Planned days: two able people, a day inside the exhibition, moved with a reason."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.appointments import (
    Plan,
    cancel_appointment,
    move_appointment,
    plan_appointment,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import Appointment, AppointmentChange, Showing
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import kept_by, make_exhibition, make_face, make_person
from tests.builders.display import (
    Crew,
    face_of,
    make_case,
    make_crew,
    planned_showing,
    put_at,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
DAY = date(2026, 6, 8)


def shown(crew: Crew, faces: int = 2) -> Showing:
    _, positions = make_case("N1", 1)
    showing = planned_showing(make_exhibition(), positions[0], faces=faces)
    return put_at(showing, Stage.ON_DISPLAY, NOW)


def plan(crew: Crew, showing: Showing, **values: Any) -> Appointment:
    who = {"by": crew.registrar, "role": Role.REGISTRAR} | values.pop("who", {})
    said: dict[str, Any] = {
        "kind": AppointmentKind.TURN,
        "day": DAY,
        "place": showing.place,
        "person_1": crew.conservator,
        "person_2": crew.technician,
        "from_face": face_of(showing, 1),
        "to_face": face_of(showing, 2),
        "reason": "Two trained people are there on 8 June.",
    }
    return plan_appointment(**who, at=NOW, showing=showing, plan=Plan(**(said | values)))


def test_a_turn_is_planned_with_day_faces_place_people_and_why() -> None:
    crew = make_crew()
    row = plan(crew, shown(crew))
    assert (row.state, row.day) == ("planned", DAY)
    assert row.reason == "Two trained people are there on 8 June."


GAPS: list[tuple[str, dict[str, Any], str]] = [
    ("a day past", {"day": date(2026, 5, 3)}, "appointment.past"),
    ("a day after", {"day": date(2026, 12, 1)}, "appointment.outside"),
    ("no second", {"person_2": None}, "people.second"),
    ("no first", {"person_1": None}, "people.first"),
    ("no to face", {"to_face": None}, "appointment.face"),
    ("no from face", {"from_face": None}, "appointment.face"),
]


@pytest.mark.parametrize(("name", "gap", "code"), GAPS, ids=[row[0] for row in GAPS])
def test_each_impossible_plan_is_refused(name: str, gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    showing = shown(crew)
    with pytest.raises(Refused) as refused:
        plan(crew, showing, **gap)
    assert code in {r.code for r in refused.value.reasons}
    assert not Appointment.objects.exists()


def test_one_person_twice_and_people_without_hands_are_refused() -> None:
    crew = make_crew()
    showing = shown(crew)
    with pytest.raises(Refused, match="named twice"):
        plan(crew, showing, person_2=crew.conservator)
    with pytest.raises(Refused, match="holds no post as conservator"):
        plan(crew, showing, person_2=crew.curator)
    leaver = make_person(Role.TECHNICIAN, ends_on=date(2026, 6, 1))
    with pytest.raises(Refused, match="ends before"):
        plan(crew, showing, person_2=leaver)


def test_the_face_of_another_object_is_no_face_to_turn_to() -> None:
    crew = make_crew()
    showing = shown(crew)
    with pytest.raises(Refused, match="is no face of"):
        plan(crew, showing, to_face=make_face())
    with pytest.raises(Refused, match="from one face to another"):
        plan(crew, showing, to_face=face_of(showing, 1))


def test_a_swap_names_the_object_and_face_that_go_in() -> None:
    crew = make_crew()
    showing = shown(crew)
    swap: dict[str, Any] = {"kind": AppointmentKind.SWAP, "to_face": None}
    with pytest.raises(Refused, match="Name the object that takes the place"):
        plan(crew, showing, **swap)
    other = planned_showing(showing.exhibition, None)
    with pytest.raises(Refused, match="Name the face of the object that goes in"):
        plan(crew, showing, **swap, other_showing=other)
    row = plan(crew, showing, **(swap | {"to_face": face_of(other)}), other_showing=other)
    assert row.other_showing == other


def test_the_same_is_not_planned_twice_for_one_day() -> None:
    crew = make_crew()
    showing = shown(crew)
    plan(crew, showing)
    with pytest.raises(Refused, match="planned for that day already"):
        plan(crew, showing)


def test_a_closed_showing_has_no_days() -> None:
    crew = make_crew()
    showing = shown(crew)
    showing.stage = Stage.RETURNED.value
    showing.keep(**kept_by(), fields=["stage"])
    with pytest.raises(Refused, match="is closed"):
        plan(crew, showing)


@pytest.mark.parametrize(
    "role", [Role.CURATOR, Role.TECHNICIAN, Role.ATTENDANT, Role.STEWARD, Role.MOUNT_MAKER]
)
def test_others_do_not_schedule(role: Role) -> None:
    crew = make_crew()
    showing = shown(crew)
    with pytest.raises(NotAllowed):
        plan(crew, showing, who={"by": make_person(role), "role": role})


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS])
def test_those_who_schedule(role: Role) -> None:
    crew = make_crew()
    showing = shown(crew)
    assert plan(crew, showing, who={"by": make_person(role), "role": role}).pk


def moved(crew: Crew, row: Appointment, **values: Any) -> Appointment:
    said: dict[str, Any] = {
        "day": DAY + timedelta(days=7),
        "reason": "15 June is the most even.",
        "agreed_by": crew.curator,
    }
    return move_appointment(
        by=crew.registrar, role=Role.REGISTRAR, at=NOW, appointment=row, **(said | values)
    )


def test_a_moved_day_keeps_the_old_day_the_reason_and_who_agreed() -> None:
    crew = make_crew()
    row = moved(crew, plan(crew, shown(crew)))
    assert (row.state, row.day) == ("moved", date(2026, 6, 15))
    change = AppointmentChange.objects.get()
    assert (change.old_day, change.new_day) == (DAY, date(2026, 6, 15))
    assert (change.reason, change.agreed_by) == ("15 June is the most even.", crew.curator)


@pytest.mark.parametrize(
    ("gap", "code"),
    [
        ({"reason": " "}, "appointment.reason"),
        ({"agreed_by": None}, "appointment.agreed"),
        ({"day": DAY}, "appointment.same"),
        ({"day": date(2026, 5, 1)}, "appointment.past"),
        ({"day": date(2026, 12, 1)}, "appointment.outside"),
    ],
)
def test_a_day_is_not_moved_without_all_that(gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    row = plan(crew, shown(crew))
    with pytest.raises(Refused) as refused:
        moved(crew, row, **gap)
    assert code in {r.code for r in refused.value.reasons}
    assert Appointment.objects.get().day == DAY


def test_other_people_are_named_without_moving_the_day() -> None:
    crew = make_crew()
    row = plan(crew, shown(crew))
    fresh = make_person(Role.TECHNICIAN, name="Ilse Brandt")
    after = moved(crew, row, day=DAY, person_2=fresh)
    assert (after.state, after.person_2) == ("planned", fresh)
    assert AppointmentChange.objects.get().new_people == "Marit Oldacre, Ilse Brandt"


def test_a_day_called_off_says_why_and_is_not_called_off_twice() -> None:
    crew = make_crew()
    row = plan(crew, shown(crew))
    said: dict[str, Any] = {
        "by": crew.registrar,
        "role": Role.REGISTRAR,
        "at": NOW,
        "appointment": row,
    }
    with pytest.raises(Refused, match="Say why"):
        cancel_appointment(**said, reason=" ")
    assert cancel_appointment(**said, reason="The case stays shut.").state == "cancelled"
    with pytest.raises(Refused, match="cancelled already"):
        cancel_appointment(**said, reason="Again.")
    with pytest.raises(Refused, match="plan a new day"):
        moved(crew, row)


def test_a_postponed_opening_takes_its_days_along() -> None:
    crew = make_crew()
    showing = shown(crew)
    exhibition = showing.exhibition
    exhibition.deinstall_until = date(2026, 12, 31)
    exhibition.closes = date(2026, 12, 20)
    exhibition.keep(**kept_by())
    assert plan(crew, Showing.objects.get(pk=showing.pk), day=date(2026, 12, 1)).pk
