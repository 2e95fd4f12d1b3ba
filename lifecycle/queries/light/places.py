"""Places with their lit hours, readings and light events, as the planning floor wants them.

Every place is read once; a position takes the timetable of the nearest place above it that has
one, its own readings together with those of its case, and every light event from it upward.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time

from django.db.models import Exists, OuterRef, Q, QuerySet

from lifecycle.planning.levels import LightChange, Position, Reading
from lifecycle.planning.lit_hours import (
    DatedSpan,
    LampState,
    Purpose,
    Timetable,
    WeeklySpan,
)
from lifecycle.planning.logged import Logged
from lifecycle.planning.moments import MINUTES_PER_DAY, minute_of
from lifecycle.planning.quantities import level_of
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    LightEvent,
    LightLog,
    LightReading,
    LitException,
    LitSpan,
    LitTimetable,
    Place,
)
from lifecycle.records.models.light import ChangeOfLight


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """What the account needs of one place."""

    pk: int
    uid: str
    name: str
    kind: str
    parent_id: int | None
    timetable_id: int | None


@dataclass(frozen=True, slots=True)
class Lamps:
    """Which timetable held at a place, from one moment to the next; None is open-ended."""

    since: datetime
    until: datetime | None
    timetable_id: int | None


class PlaceBook:
    """All places with their light; a fixed number of queries for any number of positions."""

    def __init__(self, at: datetime) -> None:
        self.at = at
        logs = LightLog.objects.filter(place=OuterRef("pk"), entered_at__lte=at)
        rows = (
            Place.objects.order_by("pk")
            .annotate(has_logs=Exists(logs))
            .values_list("pk", "uid", "name", "kind", "parent_id", "timetable_id", "has_logs")
        )
        self.places = {row[0]: PlaceRow(row[0], str(row[1]), *row[2:6]) for row in rows}
        self._with_logs = {row[0] for row in rows if row[6]}
        self._logs: dict[int, list[Logged]] = defaultdict(list)
        self.timetables = timetables()
        self._hours: dict[int, list[tuple[datetime, int | None]]] = defaultdict(list)
        past = Place.history.filter(history_date__lte=at).order_by("history_date", "history_id")
        for pk, timetable_id, moment in past.values_list("id", "timetable_id", "history_date"):
            known = self._hours[pk]
            if not known or known[-1][1] != timetable_id:
                known.append((moment, timetable_id))
        self._readings: dict[int, list[LightReading]] = defaultdict(list)
        self._events: dict[int, list[LightEvent]] = defaultdict(list)
        self._read: set[int] = set()
        self._positions: dict[tuple[int | None, int], Position] = {}

    def read_light(self, place_ids: Iterable[int | None]) -> None:
        """Read the readings and events that can matter to these places."""
        wanted = {pk for place_id in place_ids for pk in self.chain(place_id)} - self._read
        self._read |= wanted
        self._positions.clear()
        for reading in valid_readings(self.at).filter(place__in=wanted, counts=True):
            self._readings[reading.place_id].append(reading)
        events = LightEvent.objects.filter(place__in=wanted, from_at__lte=self.at)
        for event in events.filter(reported_at__lte=self.at).order_by("from_at", "pk"):
            self._events[event.place_id].append(event)
        if logged := wanted & self._with_logs:
            for log in standing_logs(logged, self.at):
                self._logs[log.place_id].append(as_logged(log))

    def chain(self, place_id: int | None) -> list[int]:
        """Return a place and everything above it, the place first."""
        chain: list[int] = []
        while place_id is not None and place_id not in chain and place_id in self.places:
            chain.append(place_id)
            place_id = self.places[place_id].parent_id
        return chain

    def up_to_case(self, place_id: int | None) -> list[int]:
        """Return a place and what it lies in up to its case; where there is none, the chain."""
        chain = self.chain(place_id)
        cases = (n for n, pk in enumerate(chain) if self.places[pk].kind == PlaceKind.CASE)
        return chain[: next(cases, len(chain)) + 1]

    def near(self, place_id: int | None) -> list[int]:
        """Return the places whose readings speak for this one: itself and up to its case.

        Where none of these was ever read, the nearest place above that was.
        """
        chain, near = self.chain(place_id), self.up_to_case(place_id)
        if near and self.places[near[-1]].kind != PlaceKind.CASE:
            near = near[:1]
        if any(self._readings[pk] for pk in near):
            return near
        read = next((pk for pk in chain if self._readings[pk]), None)
        return near if read is None else [read]

    def readings(self, place_id: int | None) -> list[LightReading]:
        return [row for pk in self.near(place_id) for row in self._readings[pk]]

    def logged(self, place_id: int | None) -> list[Logged]:
        """Return the series of a place and of what it lies in up to its case, its own first."""
        return [log for pk in self.up_to_case(place_id) for log in self._logs[pk]]

    def events(self, place_id: int | None) -> list[LightEvent]:
        return [row for pk in self.chain(place_id) for row in self._events[pk]]

    def timetable(self, place_id: int | None, otherwise: int | None = None) -> Timetable | None:
        """Return the timetable of the nearest place that has one, else the exhibition's."""
        found = self.timetable_id(place_id, otherwise)
        return None if found is None else self.timetables.get(found)

    def timetable_id(self, place_id: int | None, otherwise: int | None = None) -> int | None:
        """Return which timetable that is, by its primary key."""
        own = (self.places[pk].timetable_id for pk in self.chain(place_id))
        return next((pk for pk in own if pk is not None), otherwise)

    def _hours_at(
        self, place_id: int | None, moment: datetime, otherwise: int | None
    ) -> int | None:
        for pk in self.chain(place_id):
            rows = self._hours[pk]
            held = [found for since, found in rows if since <= moment] or [r[1] for r in rows[:1]]
            if held and held[-1] is not None:
                return held[-1]
        return otherwise

    def lamps(
        self, place_id: int, otherwise: int | None, since: datetime, until: datetime | None
    ) -> list[Lamps]:
        """Return which timetable held at a place through a span, cut where the place got another.

        Hours given to a place later do not rewrite what was lit before; the first it was ever
        given hold back to the beginning.
        """
        last = self.at if until is None else min(until, self.at)
        changes = {moment for pk in self.chain(place_id) for moment, _ in self._hours[pk]}
        starts = [since, *sorted(moment for moment in changes if since < moment < last)]
        found = [self._hours_at(place_id, moment, otherwise) for moment in starts]
        given = (
            self._hours_at(place_id, moment, otherwise)
            for moment in sorted(moment for moment in changes if moment >= last)
        )
        first_given = next((pk for pk in given if pk is not None), None)
        for index in range(len(found) - 1, -1, -1):
            if found[index] is None:
                found[index] = found[index + 1] if index + 1 < len(found) else first_given
        lamps: list[Lamps] = []
        for moment, timetable_id in zip(starts, found, strict=True):
            if lamps and lamps[-1].timetable_id == timetable_id:
                continue
            if lamps:
                lamps[-1] = replace(lamps[-1], until=moment)
            lamps.append(Lamps(moment, until, timetable_id))
        return lamps

    def name(self, place_id: int | None) -> str:
        """Return a place's name after its case's: 'Case N2, a'."""
        names = [self.places[pk].name for pk in self.chain(place_id)[:2]]
        if place_id is not None and names and self.places[place_id].kind != PlaceKind.POSITION:
            names = names[:1]
        return ", ".join(reversed(names)) or "a place not chosen yet"

    def position(self, place_id: int | None, otherwise: int | None = None) -> Position:
        """Return a place as the account knows it. ``otherwise`` is the exhibition's timetable."""
        return self.position_under(place_id, self.timetable(place_id, otherwise))

    def position_under(self, place_id: int | None, timetable: Timetable | None) -> Position:
        """Return a place as the account knows it while it was lit by ``timetable``."""
        key = place_id, id(timetable)
        if key not in self._positions:
            self._positions[key] = self._position(place_id, timetable)
        return self._positions[key]

    def _position(self, place_id: int | None, timetable: Timetable | None) -> Position:
        return Position(
            ref="" if place_id is None else self.places[place_id].uid,
            label=self.name(place_id),
            timetable=timetable,
            readings=tuple(as_reading(row) for row in self.readings(place_id)),
            events=tuple(as_change(row) for row in self.events(place_id)),
            logged=tuple(self.logged(place_id)),
        )


def standing_logs(place_ids: Iterable[int], at: datetime) -> QuerySet[LightLog]:
    """Return the logs at these places that were known at ``at`` and not taken back by then."""
    standing = Q(taken_back=None) | Q(taken_back__at__gt=at)
    rows = LightLog.objects.filter(standing, place__in=place_ids, entered_at__lte=at)
    return rows.order_by("from_at", "pk")


def as_logged(row: LightLog) -> Logged:
    """Return the samples of a log as the planning floor counts them."""
    start = minute_of(row.from_at)
    return Logged(
        samples=tuple((start + sample[0], 2 * sample[1]) for sample in row.samples),
        interval=row.interval_minutes,
    )


def valid_readings(at: datetime) -> QuerySet[LightReading]:
    """Return the readings known at ``at`` that no later row known then corrects, oldest first."""
    known = Q(read_at__lte=at, entered_at__lte=at)
    standing = Q(corrected_by=None) | Q(corrected_by__entered_at__gt=at)
    return LightReading.objects.filter(known & standing).order_by("read_at", "pk")


def as_reading(row: LightReading) -> Reading:
    marks = [
        ("odd, confirmed", row.suspicious),
        ("meter past calibration", row.meter_lapsed),
        ("by a volunteer", row.by_volunteer),
    ]
    return Reading(
        at=row.read_at,
        level=level_of(row.lux),
        state=LampState(row.lamp_state),
        ref=str(row.uid),
        suspicious=row.suspicious,
        marked=", ".join(text for text, holds in marks if holds),
    )


def as_change(row: LightEvent) -> LightChange:
    return LightChange(
        first=row.from_at,
        last=row.until_at,
        what=ChangeOfLight(row.what).label,
        ref=str(row.uid),
    )


def timetables(pks: Sequence[int] | None = None) -> dict[int, Timetable]:
    """Return every timetable as the planning floor wants it, in three queries."""
    tables, spans, exceptions = (
        LitTimetable.objects.order_by("pk"),
        LitSpan.objects.order_by("weekday", "starts", "pk"),
        LitException.objects.filter(struck=False).order_by("on", "pk"),
    )
    if pks is not None:
        tables = tables.filter(pk__in=pks)
        spans, exceptions = spans.filter(timetable__in=pks), exceptions.filter(timetable__in=pks)
    weekly: dict[int, list[WeeklySpan]] = defaultdict(list)
    for span in spans:
        if span.from_on and span.retired_on and span.from_on >= span.retired_on:
            continue
        weekly[span.timetable_id].append(
            WeeklySpan(
                weekday=span.weekday,
                purpose=Purpose(span.purpose),
                starts=_minute(span.starts),
                ends=_end(span.ends),
                from_on=span.from_on,
                until_on=span.retired_on,
            )
        )
    dated: dict[int, list[DatedSpan]] = defaultdict(list)
    for row in exceptions:
        dated[row.timetable_id].append(_dated(row))
    return {
        table.pk: Timetable(
            name=table.name,
            spans=tuple(weekly[table.pk]),
            exceptions=tuple(dated[table.pk]),
            cover_percent=table.cover_factor_percent,
            cover_basis=table.cover_basis,
            source=table.source,
        )
        for table in tables
    }


def _dated(row: LitException) -> DatedSpan:
    if row.dark or row.starts is None or row.ends is None:
        return DatedSpan(on=row.on, dark=True, reason=row.reason)
    return DatedSpan(
        on=row.on,
        adds=row.adds,
        purpose=Purpose(row.purpose or Purpose.PUBLIC),
        starts=_minute(row.starts),
        ends=_end(row.ends),
        reason=row.reason,
    )


def _minute(value: time) -> int:
    return value.hour * 60 + value.minute


def _end(value: time) -> int:
    """Return the end of a span in minutes; 00:00 is the midnight after."""
    return _minute(value) or MINUTES_PER_DAY
