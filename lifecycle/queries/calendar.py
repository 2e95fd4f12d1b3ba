"""The calendar: planned installs, turns, swaps and de-installs, week by week."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Q, QuerySet

from lifecycle.process.days import day_words
from lifecycle.process.rights import PersonFacts
from lifecycle.queries.hands import lost_hands
from lifecycle.queries.light import light_of
from lifecycle.queries.rights import may_see_showings, museum_day
from lifecycle.records.models import Appointment, Person, Place, Showing
from lifecycle.records.models.display.rotation import (
    STILL_TO_COME,
    AppointmentKind,
    AppointmentState,
)

WEEKS_AHEAD: Final = 8
LIST_LIMIT: Final = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One planned day with what is wrong about it, in words.

    ``last_day`` is the last permissible day of the face shown now; ``days_in_hand`` counts from
    the planned day to it.
    """

    appointment: Appointment
    last_day: date | None
    lost_people: tuple[str, ...]
    late: bool

    @property
    def days_in_hand(self) -> int | None:
        return None if self.last_day is None else (self.last_day - self.appointment.day).days

    @property
    def past_last_day(self) -> bool:
        in_hand = self.days_in_hand
        return in_hand is not None and in_hand < 0 and self.open

    @property
    def open(self) -> bool:
        return self.appointment.state in STILL_TO_COME

    @property
    def troubles(self) -> tuple[str, ...]:
        """What somebody has to see to, each a whole sentence."""
        found = [
            f"{name} is no longer here for it: name another person." for name in self.lost_people
        ]
        if self.past_last_day and self.last_day is not None:
            found.append(
                f"The last day of the face shown is {day_words(self.last_day)}: move it earlier, "
                "cover the face or take it down."
            )
        if self.late:
            found.append("Its day has passed: make it, move it or call it off.")
        return tuple(found)

    @property
    def state(self) -> str:
        """The mark beside it."""
        if self.appointment.state == AppointmentState.DONE:
            return "done"
        if self.appointment.state == AppointmentState.CANCELLED:
            return "not_needed"
        return "late" if self.troubles else "on_course"


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    monday: date
    days: tuple[Day, ...]

    @property
    def number(self) -> int:
        """The week's number in the calendar of ISO 8601."""
        return self.monday.isocalendar().week


def with_all(rows: QuerySet[Appointment, Any]) -> QuerySet[Appointment, Any]:
    """Load everything a line of the calendar names."""
    return rows.select_related(
        "showing__museum_object",
        "showing__exhibition",
        "other_showing__museum_object",
        "from_face",
        "to_face",
        "place__parent",
        "person_1",
        "person_2",
    )


def days_of(appointments: Iterable[Appointment], at: datetime) -> list[Day]:
    """Return the planned days with their troubles, in a fixed number of queries."""
    rows = list(appointments)
    today = museum_day(at)
    to_come = [row for row in rows if row.state in STILL_TO_COME]
    pairs = {
        (person_id, max(row.day, today)): None
        for row in to_come
        for person_id in (row.person_1_id, row.person_2_id)
    }
    lost = lost_hands(pairs)
    turning = {
        row.showing_id: row.showing
        for row in to_come
        if row.kind in (AppointmentKind.TURN, AppointmentKind.SWAP)
    }
    light = light_of(list(turning.values()), at) if turning else {}
    last_days: dict[tuple[int, int | None], date | None] = {
        (showing_id, face.face_id): face.last_day
        for showing_id, one in light.items()
        for face in one.faces
    }
    return [
        Day(
            appointment=row,
            last_day=last_days.get((row.showing_id, row.from_face_id)),
            lost_people=tuple(
                person.full_name
                for person in (row.person_1, row.person_2)
                if (person.pk, max(row.day, today)) in lost and row.state in STILL_TO_COME
            ),
            late=row.state in STILL_TO_COME and row.day < today,
        )
        for row in rows
    ]


def within(place: Place) -> list[int]:
    """Return the place and everything inside it; one query per level of the tree."""
    found, level = {place.pk}, {place.pk}
    while level:
        level = set(Place.objects.filter(parent__in=level).values_list("pk", flat=True)) - found
        found |= level
    return sorted(found)


def calendar(
    person: PersonFacts,
    at: datetime,
    *,
    first: date,
    weeks: int = WEEKS_AHEAD,
    place: Place | None = None,
    whose: Person | None = None,
    kind: AppointmentKind | None = None,
    most: int | None = LIST_LIMIT,
) -> list[Week]:
    """Return the weeks from the one that holds ``first``, each with its planned days in order.

    Shown is what the person may see; at most 400 days if not said. What is late and still open
    stands in the first week whatever its day, so that it is not lost.
    """
    monday = first - timedelta(days=first.weekday())
    end = monday + timedelta(weeks=weeks)
    today = museum_day(at)
    span = Q(day__gte=monday, day__lt=end)
    if monday <= today < end:
        span |= Q(day__lt=monday, state__in=STILL_TO_COME)
    seen = may_see_showings(person, Showing.objects.all()).values("pk")
    rows = Appointment.objects.filter(span, showing__in=seen)
    if place is not None:
        rows = rows.filter(place__in=within(place))
    if whose is not None:
        rows = rows.filter(Q(person_1=whose) | Q(person_2=whose))
    if kind is not None:
        rows = rows.filter(kind=kind.value)
    days = days_of(with_all(rows).order_by("day", "slot", "pk")[:most], at)
    shown: dict[date, list[Day]] = {}
    for one in days:
        start = max(one.appointment.day - timedelta(days=one.appointment.day.weekday()), monday)
        shown.setdefault(start, []).append(one)
    return [Week(monday=start, days=tuple(shown[start])) for start in sorted(shown)]


def day_of(appointment: Appointment, at: datetime) -> Day:
    """Return one planned day with its troubles."""
    return days_of([appointment], at)[0]
