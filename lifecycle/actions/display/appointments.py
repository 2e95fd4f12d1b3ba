"""Plan a day for an install, turn, swap or de-install; move it with a reason; call it off."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db import IntegrityError, transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.numbering import next_number
from lifecycle.actions.people_named import faults_of_pair, gone_by
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.queries.hands import hands_on
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.models import (
    Appointment,
    AppointmentChange,
    Face,
    Person,
    Place,
    Showing,
)
from lifecycle.records.models.display.rotation import (
    STILL_TO_COME,
    AppointmentKind,
    AppointmentState,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What is to be done on which day, where, by which two people."""

    kind: AppointmentKind
    day: date
    place: Place
    person_1: Person | None
    person_2: Person | None
    slot: time | None = None
    from_face: Face | None = None
    to_face: Face | None = None
    other_showing: Showing | None = None
    reason: str = ""


def faults_of_people(
    person_1: Person | None, person_2: Person | None, day: date
) -> Iterator[Reason]:
    """Yield what is wrong with the two names on that day."""
    yield from faults_of_pair(person_1, person_2, first_field="person_1", second_field="person_2")
    able = hands_on(day)
    for person, field in ((person_1, "person_1"), (person_2, "person_2")):
        if person is None:
            continue
        if gone_by(person, day):
            text = f"The account of {person.full_name} ends before {day_words(day)}."
            yield Reason(text, field, "appointment.person_gone")
        elif person.pk not in able:
            text = (
                f"{person.full_name} holds no post as conservator, registrar or technician "
                f"on {day_words(day)}."
            )
            yield Reason(text, field, "appointment.person_post")


def _faults(showing: Showing, plan: Plan, today: date) -> Iterator[Reason]:
    number, show = showing.museum_object.object_number, showing.exhibition
    if showing.stage in CLOSED:
        text = f"{showing.request_no} is closed ({Stage(showing.stage).label})."
        yield Reason(text, code="appointment.closed")
    if plan.day < today:
        yield Reason("That day is past.", "day", "appointment.past")
    first, last = show.install_from, show.deinstall_until
    if not first <= plan.day <= last:
        text = (
            f"{day_words(plan.day)} lies outside {show.title} with its install and de-install, "
            f"{day_words(first)} to {day_words(last)}."
        )
        yield Reason(text, "day", "appointment.outside")
    yield from faults_of_people(plan.person_1, plan.person_2, plan.day)
    if plan.kind is AppointmentKind.TURN:
        yield from _faults_of_turn(plan, number, showing)
    elif plan.other_showing is None and plan.kind is AppointmentKind.SWAP:
        text = f"Name the object that takes the place of {number}."
        yield Reason(text, "other_showing", "appointment.swap")
    elif plan.other_showing is not None and plan.other_showing.pk == showing.pk:
        text = f"{number} can't be swapped with itself."
        yield Reason(text, "other_showing", "appointment.swap")
    elif plan.kind is AppointmentKind.SWAP and plan.other_showing is not None:
        if plan.other_showing.exhibition_id != showing.exhibition_id:
            text = f"{plan.other_showing.request_no} belongs to another exhibition."
            yield Reason(text, "other_showing", "appointment.swap")
        coming = plan.to_face
        if coming is None or coming.museum_object_id != plan.other_showing.museum_object_id:
            text = "Name the face of the object that goes in."
            yield Reason(text, "to_face", "appointment.face")


def _faults_of_turn(plan: Plan, number: str, showing: Showing) -> Iterator[Reason]:
    for face, field in ((plan.from_face, "from_face"), (plan.to_face, "to_face")):
        if face is None:
            yield Reason(f"Name both faces of {number}.", field, "appointment.face")
        elif face.museum_object_id != showing.museum_object_id:
            text = f"{face.label} is no face of {number}."
            yield Reason(text, field, "appointment.face")
    if plan.from_face is not None and plan.from_face == plan.to_face:
        text = "A turn goes from one face to another."
        yield Reason(text, "to_face", "appointment.face")


@transaction.atomic
def plan_appointment(
    *, by: Person, role: Role, at: datetime, showing: Showing, plan: Plan
) -> Appointment:
    """Plan a day with two named people.

    :raises Refused: a day past or outside the exhibition, fewer than two able people, faces that
        do not fit, or the same thing planned twice for one day
    """
    allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about_showing(showing))
    kept = Showing.objects.select_for_update(of=("self",)).get(pk=showing.pk)
    reasons = list(_faults(kept, plan, museum_day(at)))
    twice = kept.appointments.filter(kind=plan.kind.value, day=plan.day, state__in=STILL_TO_COME)
    if twice.exists():
        text = f"{plan.kind.label.capitalize()} is planned for that day already."
        reasons.append(Reason(text, "day", "appointment.twice"))
    if reasons or plan.person_1 is None or plan.person_2 is None:
        raise Refused(reasons)
    return Appointment(
        appointment_no=next_number("AP"),
        kind=plan.kind.value,
        showing=kept,
        other_showing=plan.other_showing if plan.kind is AppointmentKind.SWAP else None,
        from_face=plan.from_face,
        to_face=plan.to_face,
        day=plan.day,
        slot=plan.slot,
        place=plan.place,
        person_1=plan.person_1,
        person_2=plan.person_2,
        reason=plan.reason.strip(),
    ).keep(by=by, role=role, why=f"{plan.kind.label} planned", at=at)


@transaction.atomic
def move_appointment(
    *,
    by: Person,
    role: Role,
    at: datetime,
    appointment: Appointment,
    day: date,
    reason: str,
    agreed_by: Person | None,
    person_1: Person | None = None,
    person_2: Person | None = None,
) -> Appointment:
    """Move a planned day, or give it other people; the old day, the reason and who agreed stay.

    :raises Refused: nothing changed, no reason, nobody agreed, a day past or outside the run
    """
    row = Appointment.objects.select_for_update(of=("self",)).get(pk=appointment.pk)
    showing = Showing.objects.select_related("exhibition", "museum_object", "place").get(
        pk=row.showing_id
    )
    allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about_showing(showing))
    first, second = person_1 or row.person_1, person_2 or row.person_2
    old_people = f"{row.person_1.full_name}, {row.person_2.full_name}"
    new_people = f"{first.full_name}, {second.full_name}"
    reasons = []
    if row.state not in STILL_TO_COME:
        text = f"{row.appointment_no} is {AppointmentState(row.state).label}; plan a new day."
        raise Refused(text)
    if day == row.day and new_people == old_people:
        reasons.append(Reason("Day and people are the same as before.", "day", "appointment.same"))
    if not reason.strip():
        text = "Say why; the reason is read with the light statement."
        reasons.append(Reason(text, "reason", "appointment.reason"))
    if agreed_by is None:
        reasons.append(Reason("Name who agreed.", "agreed_by", "appointment.agreed"))
    if day < museum_day(at):
        reasons.append(Reason("That day is past.", "day", "appointment.past"))
    show = showing.exhibition
    if not show.install_from <= day <= show.deinstall_until:
        text = f"{day_words(day)} lies outside {show.title} with its install and de-install."
        reasons.append(Reason(text, "day", "appointment.outside"))
    reasons += list(faults_of_people(first, second, day))
    if reasons or agreed_by is None:
        raise Refused(reasons)
    AppointmentChange(
        appointment=row,
        old_day=row.day,
        new_day=day,
        old_people=old_people,
        new_people=new_people,
        reason=reason.strip(),
        agreed_by=agreed_by,
        by=by,
        at=at,
    ).append()
    if day != row.day:
        row.state = AppointmentState.MOVED.value
    row.day, row.person_1, row.person_2 = day, first, second
    try:
        with transaction.atomic():
            return row.keep(by=by, role=role, why=reason.strip(), at=at)
    except IntegrityError as clash:
        text = "The same is planned for that day already."
        raise Refused(Reason(text, "day", "appointment.twice")) from clash


@transaction.atomic
def cancel_appointment(
    *, by: Person, role: Role, at: datetime, appointment: Appointment, reason: str
) -> Appointment:
    """Call off a planned day.

    :raises Refused: when it is over already, or without a reason
    """
    row = Appointment.objects.select_for_update(of=("self",)).get(pk=appointment.pk)
    showing = Showing.objects.select_related("museum_object", "place").get(pk=row.showing_id)
    allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about_showing(showing))
    if row.state not in STILL_TO_COME:
        raise Refused(f"{row.appointment_no} is {AppointmentState(row.state).label} already.")
    if not reason.strip():
        raise Refused(Reason("Say why it is called off.", "reason", "appointment.reason"))
    row.state, row.cancel_reason = AppointmentState.CANCELLED.value, reason.strip()
    return row.keep(by=by, role=role, why=reason.strip(), at=at)


def done_today(
    showing: Showing,
    kind: AppointmentKind,
    done_at: datetime,
    *,
    by: Person,
    role: Role,
    at: datetime,
) -> None:
    """Mark the earliest day planned for this as done; called by the deed itself."""
    planned = (
        Appointment.objects.select_for_update(of=("self",))
        .filter(showing=showing, kind=kind.value, state__in=STILL_TO_COME)
        .order_by("day", "pk")
        .first()
    )
    if planned is not None:
        planned.state, planned.done_at = AppointmentState.DONE.value, done_at
        planned.keep(by=by, role=role, why=f"{kind.label} made", at=at)
