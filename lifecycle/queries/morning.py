"""What one person's morning letter says: what is theirs, and what they are named for."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from urllib.parse import quote_plus

from django.db.models import Q
from django.urls import NoReverseMatch, reverse

from lifecycle.process.duties.duty import Band
from lifecycle.queries.clock import zone_of
from lifecycle.queries.letters import museum_name
from lifecycle.queries.rights import person_facts
from lifecycle.queries.today import TodayLine, today_of
from lifecycle.records.models.display.rotation import STILL_TO_COME, Appointment, AppointmentState
from lifecycle.records.models.people import Person

LOOK_AHEAD: Final = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class MorningLine:
    """One task: what, about which object, why, by when, and the path where it is done.

    ``asked_on``: the day on which somebody asked this person and began to wait for the answer.
    """

    text: str
    about: str
    why: str
    due_on: date | None
    band: Band
    path: str
    asked_on: date | None = None


@dataclass(frozen=True, slots=True)
class MorningAppointment:
    """One install, turn, swap or de-install the person is named for."""

    day: date
    slot: str
    what: str
    place: str
    with_whom: str
    changed: str


@dataclass(frozen=True, slots=True)
class Morning:
    """Everything the letter of one person on one day is written from."""

    museum: str
    name: str
    day: date
    roles: tuple[str, ...]
    hour: int | None
    zone: str
    lines: tuple[MorningLine, ...]
    appointments: tuple[MorningAppointment, ...]


def morning_of(*, person: Person, day: date, at: datetime) -> Morning:
    """Gather what is this person's today; computed from rows, nothing is stored."""
    facts = person_facts(person, at)
    tasks = today_of(person, at)
    # A turn that is a task already, with its page, is not said a second time.
    said = {(line.object_number, line.due_on) for line in tasks if line.person_named}
    return Morning(
        museum=museum_name(),
        name=person.full_name,
        day=day,
        roles=tuple(dict.fromkeys(post.role.label for post in facts.posts)),
        hour=person.letter_hour,
        zone=str(zone_of(person)),
        lines=tuple(_line(line) for line in tasks if line.laid is None),
        appointments=tuple(_appointments(person, day, said)),
    )


def _line(line: TodayLine) -> MorningLine:
    about = f"{line.object_number}, {line.title}" if line.object_number else ""
    return MorningLine(
        text=line.text,
        about=" · ".join(filter(None, (about, line.exhibition))),
        why=line.why,
        due_on=line.due_on,
        band=line.band,
        path=_path(line),
        asked_on=line.asked_on,
    )


def _path(line: TodayLine) -> str:
    """The page's path; Today itself where the page has no address of its own."""
    try:
        path = reverse(line.url_name, kwargs=line.url_kwargs)
    except NoReverseMatch:
        return reverse("today")
    return f"{path}?{quote_plus(line.query, safe='=&-')}" if line.query else path


def _appointments(
    person: Person, day: date, said: set[tuple[str, date | None]]
) -> list[MorningAppointment]:
    named = Q(person_1=person) | Q(person_2=person)
    rows = (
        Appointment.objects.filter(named, state__in=STILL_TO_COME, day__lte=day + LOOK_AHEAD)
        .select_related(
            "showing__museum_object",
            "other_showing__museum_object",
            "from_face",
            "to_face",
            "place",
            "person_1",
            "person_2",
        )
        .order_by("day", "slot", "pk")
    )
    return [
        _appointment(row, person)
        for row in rows
        if (row.showing.museum_object.object_number, row.day) not in said
    ]


def _appointment(row: Appointment, person: Person) -> MorningAppointment:
    other = row.person_2 if row.person_1_id == person.pk else row.person_1
    moved = row.state == AppointmentState.MOVED
    return MorningAppointment(
        day=row.day,
        slot=f"{row.slot:%H:%M}" if row.slot else "",
        what=_what(row),
        place=row.place.name,
        with_whom=other.full_name,
        changed=row.reason if moved else "",
    )


def _what(row: Appointment) -> str:
    kind = row.get_kind_display()
    thing = f"{row.showing.museum_object.object_number}, {row.showing.museum_object.title}"
    if row.other_showing:
        thing += f", for {row.other_showing.museum_object.object_number}"
    faces = [face.label for face in (row.from_face, row.to_face) if face]
    return f"{kind.capitalize()} of {thing}" + (f" ({' to '.join(faces)})" if faces else "")
