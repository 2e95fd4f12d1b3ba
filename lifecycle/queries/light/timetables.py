"""Timetables as their pages show them: hours a week, where used, what is different when."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from lifecycle.planning.lit_hours import curve_of
from lifecycle.planning.moments import day_start
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.places import PlaceBook, timetables
from lifecycle.records.models import Exhibition, LitException, LitSpan, LitTimetable, Place

WEEK: Final = timedelta(7)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimetableLine:
    """One timetable with the lit and public hours of the coming seven days."""

    table: LitTimetable
    lit_hours: float
    public_hours: float
    places: tuple[str, ...]


def every_timetable(today: date) -> list[TimetableLine]:
    """Return every timetable by name, in a fixed number of queries."""
    zone = museum_zone()
    known = timetables()
    used: dict[int, list[str]] = defaultdict(list)
    places = Place.objects.filter(closed_on=None).exclude(timetable=None)
    for timetable_id, name in places.order_by("name").values_list("timetable_id", "name"):
        if timetable_id is not None:
            used[timetable_id].append(name)
    since, until = day_start(today, zone), day_start(today + WEEK, zone)
    lines = []
    for row in LitTimetable.objects.order_by("name", "pk"):
        curve = curve_of(known[row.pk], zone)
        lines.append(
            TimetableLine(
                table=row,
                lit_hours=curve.lit_minutes(since, until) / 60,
                public_hours=curve.public_minutes(since, until) / 60,
                places=tuple(used[row.pk]),
            )
        )
    return lines


@dataclass(frozen=True, slots=True, kw_only=True)
class LitSince:
    """How many hours the lamps of one timetable have been on since a day."""

    name: str
    since: date
    hours: int


def lit_since(exhibition: Exhibition, at: datetime) -> list[LitSince]:
    """Return the hours lit from an exhibition's first day of install to the start of today.

    One line for each timetable of its places, or its own; none before it began.
    """
    zone, book = museum_zone(), PlaceBook(at)
    until = day_start(at.astimezone(zone).date(), zone)
    since = day_start(exhibition.install_from, zone)
    if since >= until:
        return []
    inside = exhibition.places.values_list("pk", flat=True)
    found = {exhibition.timetable_id, *(book.timetable_id(pk) for pk in inside)}
    keys = [key for key in found if key is not None]
    return [
        LitSince(
            name=row.name,
            since=exhibition.install_from,
            hours=round(curve_of(book.timetables[row.pk], zone).lit_minutes(since, until) / 60),
        )
        for row in LitTimetable.objects.filter(pk__in=keys).order_by("name", "pk")
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """One day ahead with its lit hours, marked when something is different."""

    day: date
    lit_hours: float
    public_hours: float
    different: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimetableOnRecord:
    """One timetable, whole."""

    line: TimetableLine
    spans: Sequence[LitSpan]
    exceptions: Sequence[LitException]
    ahead: Sequence[DayLine]


def timetable_on_record(row: LitTimetable, today: date) -> TimetableOnRecord:
    """Return one timetable with its spans, its exceptions and the fourteen days ahead."""
    zone = museum_zone()
    curve = curve_of(timetables([row.pk])[row.pk], zone)
    exceptions = list(LitException.objects.filter(timetable=row).order_by("-on", "pk"))
    reasons: dict[date, list[str]] = defaultdict(list)
    for one in exceptions:
        if not one.struck:
            reasons[one.on].append(one.reason)
    ahead = []
    for n in range(14):
        day = today + timedelta(n)
        since, until = day_start(day, zone), day_start(day + timedelta(1), zone)
        ahead.append(
            DayLine(
                day=day,
                lit_hours=curve.lit_minutes(since, until) / 60,
                public_hours=curve.public_minutes(since, until) / 60,
                different=tuple(reasons[day]),
            )
        )
    since, until = day_start(today, zone), day_start(today + WEEK, zone)
    places = Place.objects.filter(timetable=row, closed_on=None).order_by("name")
    return TimetableOnRecord(
        line=TimetableLine(
            table=row,
            lit_hours=curve.lit_minutes(since, until) / 60,
            public_hours=curve.public_minutes(since, until) / 60,
            places=tuple(places.values_list("name", flat=True)),
        ),
        spans=list(LitSpan.objects.filter(timetable=row).order_by("weekday", "starts", "pk")),
        exceptions=exceptions,
        ahead=ahead,
    )
