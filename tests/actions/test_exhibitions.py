"""Exhibitions: facts, states, and dates that take along what hangs on them."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from lifecycle.actions.exhibitions import (
    Dates,
    ExhibitionDetails,
    add_exhibition,
    change_exhibition,
    move_dates,
    set_state,
)
from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import ExhibitionState
from lifecycle.queries.changes import changes_of, version_of
from lifecycle.records.models import (
    Appointment,
    AppointmentChange,
    Exhibition,
    FaceWanted,
    Person,
    Showing,
)
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)

pytestmark = pytest.mark.django_db

RUN = Dates(
    install_from=date(2026, 9, 1),
    opens=date(2026, 9, 12),
    closes=date(2027, 1, 10),
    deinstall_until=date(2027, 1, 22),
)
FACTS = ExhibitionDetails(short="RBN26", title="Rain by Noon")


@pytest.fixture
def registrar() -> Person:
    make_museum()
    return make_person(Role.REGISTRAR)


def acting(person: Person, role: Role = Role.REGISTRAR) -> dict[str, Any]:
    return {"by": person, "role": role, "at": AT}


def refused_fields(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.field for reason in refused.value.reasons}


def planned(**values: Any) -> Exhibition:
    dates = {name: getattr(RUN, name) for name in Dates.__dataclass_fields__}
    return make_exhibition(**{**dates, **values})


def with_turn(exhibition: Exhibition) -> tuple[Showing, FaceWanted, Appointment]:
    """A showing of two faces with a turn planned half-way."""
    showing = make_showing(exhibition=exhibition, museum_object=make_object())
    one, other = make_face(showing.museum_object), make_face(showing.museum_object)
    wanted = FaceWanted(
        showing=showing,
        face=one,
        order=1,
        from_on=exhibition.opens,
        until_on=exhibition.opens + timedelta(days=59),
    ).keep(**kept_by())
    turn = Appointment(
        appointment_no="AP-0001",
        kind="turn",
        showing=showing,
        from_face=one,
        to_face=other,
        day=exhibition.opens + timedelta(days=60),
        place=make_place(),
        person_1=make_person(Role.CONSERVATOR),
        person_2=make_person(Role.TECHNICIAN),
    ).keep(**kept_by())
    return showing, wanted, turn


def test_dates_out_of_order_are_refused_at_their_fields(registrar: Person) -> None:
    wrong = Dates(
        install_from=date(2026, 9, 2),
        opens=date(2026, 9, 1),
        closes=date(2026, 8, 1),
        deinstall_until=date(2026, 7, 1),
    )
    with pytest.raises(Refused) as refused:
        add_exhibition(**acting(registrar), details=FACTS, dates=wrong)
    assert refused_fields(refused) == {"opens", "closes", "deinstall_until"}
    assert not Exhibition.objects.exists()


def test_a_code_is_given_once_and_one_day_a_week_stays_open(registrar: Person) -> None:
    add_exhibition(**acting(registrar), details=FACTS, dates=RUN)
    again = replace(FACTS, short="rbn26", closed_weekdays=range(7))
    with pytest.raises(Refused) as refused:
        add_exhibition(**acting(registrar), details=again, dates=RUN)
    assert refused_fields(refused) == {"short", "closed_weekdays"}


@pytest.mark.parametrize(
    ("day", "state"),
    [
        (date(2026, 8, 31), "planned"),
        (date(2026, 9, 1), "installing"),
        (date(2026, 9, 12), "open"),
        (date(2027, 1, 10), "open"),
        (date(2027, 1, 22), "closing"),
    ],
)
def test_one_that_runs_already_is_put_on_record_as_it_stands(
    registrar: Person, day: date, state: str
) -> None:
    at = datetime.combine(day, time(12), UTC)
    made = add_exhibition(by=registrar, role=Role.REGISTRAR, at=at, details=FACTS, dates=RUN)
    assert made.state == state


def test_a_stale_form_is_a_conflict(registrar: Person) -> None:
    stored = planned()
    seen = version_of(stored)
    change = {**acting(registrar), "exhibition": stored, "why": "Title.", "version": seen}
    change_exhibition(**change, details=FACTS)
    with pytest.raises(Conflict) as conflict:
        change_exhibition(**change, details=replace(FACTS, title="Mine"))
    assert conflict.value.theirs == {"title": "Rain by Noon"}


def test_a_manager_keeps_the_own_exhibition_only() -> None:
    make_museum()
    manager = make_person(Role.EXHIBITION_MANAGER)
    own, other = planned(manager=manager), planned()
    change = {**acting(manager, Role.EXHIBITION_MANAGER), "details": FACTS, "why": "Title."}
    change_exhibition(**change, exhibition=own, version=version_of(own))
    with pytest.raises(NotAllowed):
        change_exhibition(**change, exhibition=other, version=version_of(other))


@pytest.mark.parametrize("role", [Role.CURATOR, Role.ATTENDANT, Role.TECHNICIAN, Role.STEWARD])
def test_other_roles_plan_no_exhibition(role: Role) -> None:
    make_museum()
    with pytest.raises(NotAllowed):
        add_exhibition(**acting(make_person(role), role), details=FACTS, dates=RUN)


def test_it_goes_state_by_state_and_back_with_a_reason(registrar: Person) -> None:
    stored = planned()
    step = {**acting(registrar), "exhibition": stored}
    with pytest.raises(Refused) as refused:
        set_state(**step, state=ExhibitionState.OPEN)
    assert refused_fields(refused) == {"state"}
    set_state(**step, state=ExhibitionState.APPROVED)
    with pytest.raises(Refused) as unsaid:
        set_state(**step, state=ExhibitionState.PLANNED)
    assert refused_fields(unsaid) == {"why"}
    assert set_state(**step, state=ExhibitionState.PLANNED, why="Money.").state == "planned"


def test_it_does_not_close_over_an_open_showing(registrar: Person) -> None:
    stored = planned(state="closing")
    showing = make_showing(exhibition=stored)
    with pytest.raises(Refused, match=showing.museum_object.object_number):
        set_state(**acting(registrar), exhibition=stored, state=ExhibitionState.CLOSED)


def test_postponing_moves_showings_faces_and_planned_days(registrar: Person) -> None:
    stored = planned()
    showing, wanted, turn = with_turn(stored)
    week = timedelta(days=7)
    later = Dates(**{name: getattr(RUN, name) + week for name in Dates.__dataclass_fields__})
    before = (wanted.from_on, wanted.until_on, turn.day)
    moved = move_dates(
        **acting(registrar), exhibition=stored, dates=later, why="The roof is not closed."
    )
    assert (moved.showings, moved.appointments) == (1, 1)
    for row in (showing, wanted, turn):
        row.refresh_from_db()
    assert (showing.show_from, showing.show_to) == (later.opens, later.closes)
    assert (wanted.from_on, wanted.until_on, turn.day) == tuple(day + week for day in before)
    assert turn.state == "moved"
    change = AppointmentChange.objects.get()
    assert (change.old_day, change.new_day) == (before[2], before[2] + week)
    assert "The roof is not closed." in change.reason
    last = changes_of(moved.exhibition)[0]
    assert (last.by, last.role, last.why) == (
        registrar.full_name,
        "registrar",
        "The roof is not closed.",
    )


def test_an_extension_moves_the_end_alone(registrar: Person) -> None:
    stored = planned()
    showing, wanted, turn = with_turn(stored)
    longer = replace(RUN, closes=date(2027, 2, 7), deinstall_until=date(2027, 2, 19))
    move_dates(**acting(registrar), exhibition=stored, dates=longer, why="Well visited.")
    for row in (showing, wanted, turn):
        row.refresh_from_db()
    assert (showing.show_from, showing.show_to) == (RUN.opens, longer.closes)
    assert turn.day == RUN.opens + timedelta(days=60)
    assert turn.state == "planned"


def test_closing_early_keeps_every_span_inside_the_run(registrar: Person) -> None:
    stored = planned()
    showing, wanted, turn = with_turn(stored)
    early = replace(RUN, closes=date(2026, 10, 4), deinstall_until=date(2026, 10, 16))
    move_dates(**acting(registrar), exhibition=stored, dates=early, why="Water in the case.")
    for row in (showing, wanted, turn):
        row.refresh_from_db()
    assert showing.show_to == early.closes
    assert wanted.from_on <= wanted.until_on <= early.closes
    assert turn.day == early.closes


def test_two_turns_are_never_pressed_onto_one_day(registrar: Person) -> None:
    stored = planned()
    showing, _, turn = with_turn(stored)
    Appointment(
        appointment_no="AP-0002",
        kind="turn",
        showing=showing,
        from_face=turn.to_face,
        to_face=turn.from_face,
        day=turn.day + timedelta(days=20),
        place=turn.place,
        person_1=turn.person_1,
        person_2=turn.person_2,
    ).keep(**kept_by())
    early = replace(RUN, closes=date(2026, 10, 4), deinstall_until=date(2026, 10, 16))
    with pytest.raises(Refused, match="AP-0001 and AP-0002 would both fall"):
        move_dates(**acting(registrar), exhibition=stored, dates=early, why="Water.")
    showing.refresh_from_db()
    assert showing.show_to == RUN.closes


def test_what_is_on_display_keeps_its_beginning(registrar: Person) -> None:
    stored = planned()
    make_showing(exhibition=stored, stage="on_display")
    later = replace(RUN, opens=RUN.opens + timedelta(days=7))
    with pytest.raises(Refused, match="on display already") as refused:
        move_dates(**acting(registrar), exhibition=stored, dates=later, why="Late.")
    assert refused_fields(refused) == {"opens"}


def test_a_closed_showing_is_not_touched(registrar: Person) -> None:
    stored = planned()
    declined = make_showing(exhibition=stored, stage="declined")
    later = replace(RUN, closes=date(2027, 2, 7), deinstall_until=date(2027, 2, 19))
    move_dates(**acting(registrar), exhibition=stored, dates=later, why="Longer.")
    declined.refresh_from_db()
    assert declined.show_to == RUN.closes
    assert version_of(declined) == 1


def test_moving_needs_a_reason_and_a_change(registrar: Person) -> None:
    stored = planned()
    with pytest.raises(Refused) as refused:
        move_dates(**acting(registrar), exhibition=stored, dates=RUN, why="")
    assert refused_fields(refused) == {"why", "opens"}
