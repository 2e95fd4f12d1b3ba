"""What a letter is written from: the person's own tasks, and the days they are named for."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.process.duties.duty import Band
from lifecycle.process.stages import Role
from lifecycle.queries import morning
from lifecycle.queries.morning import morning_of
from lifecycle.queries.today import TodayLine
from lifecycle.records.models import Person, Place
from lifecycle.records.models.display.rotation import (
    Appointment,
    AppointmentKind,
    AppointmentState,
)
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_museum,
    make_person,
    make_place,
    make_showing,
)

pytestmark = pytest.mark.django_db


def make_turn(one: Person, two: Person, **values: Any) -> Appointment:
    showing = make_showing()
    faces = [make_face(showing.museum_object, label=label) for label in ("recto", "verso")]
    values = {
        "kind": AppointmentKind.TURN,
        "day": DAY + timedelta(days=2),
        "from_face": faces[0],
        "to_face": faces[1],
        "appointment_no": f"AP-{showing.pk:04d}",
    } | values
    name = "Case 4, position B"
    place = Place.objects.filter(name=name).first() or make_place(name)
    return Appointment(
        showing=showing,
        place=place,
        person_1=one,
        person_2=two,
        **values,
    ).keep(**kept_by())


def test_both_people_named_read_the_turn_and_nobody_else() -> None:
    make_museum()
    ada, bram = make_person(Role.CONSERVATOR), make_person(Role.TECHNICIAN)
    other = make_person(Role.TECHNICIAN)
    turn = make_turn(ada, bram)
    thing = turn.showing.museum_object
    for person, partner in ((ada, bram), (bram, ada)):
        (named,) = morning_of(person=person, day=DAY, at=AT).appointments
        assert named.with_whom == partner.full_name
        assert named.what == (f"Turn of {thing.object_number}, {thing.title} (recto to verso)")
        assert (named.day, named.place) == (turn.day, "Case 4, position B")
    assert morning_of(person=other, day=DAY, at=AT).appointments == ()


def test_what_is_done_or_cancelled_or_far_away_is_not_in_the_letter() -> None:
    make_museum()
    ada, bram = make_person(Role.CONSERVATOR), make_person(Role.TECHNICIAN)
    make_turn(ada, bram, state=AppointmentState.DONE, done_at=AT)
    make_turn(ada, bram, state=AppointmentState.CANCELLED, cancel_reason="Not needed.")
    make_turn(ada, bram, day=DAY + timedelta(days=8))
    assert morning_of(person=ada, day=DAY, at=AT).appointments == ()


def test_a_turn_whose_day_has_passed_stays_in_the_letter() -> None:
    make_museum()
    ada, bram = make_person(Role.CONSERVATOR), make_person(Role.TECHNICIAN)
    turn = make_turn(ada, bram, day=DAY - timedelta(days=3))
    (named,) = morning_of(person=ada, day=DAY, at=AT).appointments
    assert named.day == turn.day


def test_the_letter_names_the_museum_the_roles_and_the_zone() -> None:
    make_museum()
    ada = make_person(Role.CONSERVATOR, name="Ada Kestrel")
    letter = morning_of(person=ada, day=DAY, at=AT)
    assert (letter.museum, letter.name) == ("Hollinshire County Museum", "Ada Kestrel")
    assert (letter.roles, letter.zone) == (("conservator",), "Europe/London")


def test_the_steward_gets_the_accounts_that_end() -> None:
    make_museum()
    steward = make_person(Role.STEWARD)
    make_person(name="Wen Ito", ends_on=DAY + timedelta(days=3))
    (line,) = morning_of(person=steward, day=DAY, at=AT).lines
    assert "Wen Ito" in line.text
    assert line.path.startswith("/")


def test_a_turn_that_is_a_task_already_is_not_said_a_second_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make_museum()
    ada, bram = make_person(Role.CONSERVATOR), make_person(Role.TECHNICIAN)
    turn = make_turn(ada, bram)
    task = TodayLine(
        key="turn",
        text="Make the turn.",
        why="",
        due_on=turn.day,
        band=Band.THIS_WEEK,
        role=Role.CONSERVATOR,
        url_name="turn",
        url_kwargs={"uid": str(turn.showing.uid)},
        object_number=turn.showing.museum_object.object_number,
        person_named=True,
    )
    monkeypatch.setattr(morning, "today_of", lambda person, at: [task])
    letter = morning_of(person=ada, day=DAY, at=AT)
    assert [line.text for line in letter.lines] == ["Make the turn."]
    assert letter.lines[0].path == f"/showings/{turn.showing.uid}/turn/"
    assert letter.appointments == ()
