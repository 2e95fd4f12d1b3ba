"""Lit hours: how many minutes a place was lit, in which lighting state, in any span of real time.

A weekly timetable of local times with a purpose each, dated exceptions and a cover factor. Minutes
are elapsed minutes: a span across the change of clocks has an hour more or less. Overlapping spans
are not added up; where several lighting states burn at once, the curve says so and the brightest
of them counts. Public minutes are kept beside lit minutes for comparison.
Method: our own (lit hours beside public hours, states, brightest wins); zone rules from zoneinfo.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from lifecycle.planning.moments import MINUTES_PER_DAY, day_start, wall_end, wall_start


class Purpose(StrEnum):
    """What the light is on for."""

    PUBLIC = "public"
    CLEANING = "cleaning"
    EVENTS = "events"
    WORK = "work"
    RESIDUAL = "residual"


class LampState(StrEnum):
    """How the lamps burn when light is read; each state has its own illuminance at a place."""

    SHOW = "show"
    CLEANING = "cleaning"
    WORK = "work"
    DAYLIGHT_PART = "daylight_part"


STATE_OF: Final[Mapping[Purpose, LampState]] = {
    Purpose.PUBLIC: LampState.SHOW,
    Purpose.EVENTS: LampState.SHOW,
    Purpose.CLEANING: LampState.CLEANING,
    Purpose.WORK: LampState.WORK,
    # What is never off is what a reading with the lamps off shows.
    Purpose.RESIDUAL: LampState.DAYLIGHT_PART,
}


def _check_span(starts: int, ends: int) -> None:
    if not 0 <= starts < ends <= 2 * MINUTES_PER_DAY or starts >= MINUTES_PER_DAY:
        raise ValueError(
            f"A lit span starts within its day and ends later: {starts} to {ends} minutes."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class WeeklySpan:
    """Lit every ``weekday`` (0 is Monday) from ``starts`` to ``ends`` [minutes after midnight]."""

    weekday: int
    purpose: Purpose
    starts: int
    ends: int
    from_on: date | None = None
    until_on: date | None = None
    """First day on which the span holds no more."""

    def __post_init__(self) -> None:
        _check_span(self.starts, self.ends)
        if not 0 <= self.weekday <= 6:
            raise ValueError(f"A weekday is 0 (Monday) to 6 (Sunday), not {self.weekday}.")

    def holds_on(self, day: date) -> bool:
        return (
            day.weekday() == self.weekday
            and (self.from_on is None or self.from_on <= day)
            and (self.until_on is None or day < self.until_on)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedSpan:
    """One dated exception: dark, or a span that stands for, or is added to, the week's hours.

    A dark day takes away all of the week's spans. A span that does not add stands for the week's
    spans of the same purpose on that day; those of other purposes stay.
    """

    on: date
    dark: bool = False
    adds: bool = False
    purpose: Purpose = Purpose.PUBLIC
    starts: int = 0
    ends: int = 0
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.dark:
            _check_span(self.starts, self.ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """When a place is lit."""

    name: str
    spans: tuple[WeeklySpan, ...] = ()
    exceptions: tuple[DatedSpan, ...] = ()
    cover_percent: int = 100
    cover_basis: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.cover_percent <= 100:
            raise ValueError(f"A cover factor is 0 to 100 %, not {self.cover_percent} %.")

    def spans_on(self, day: date) -> list[tuple[Purpose, int, int]]:
        """Return the (purpose, starts, ends) of one local date, exceptions applied."""
        dated = [row for row in self.exceptions if row.on == day]
        replaced = {row.purpose for row in dated if not row.dark and not row.adds}
        spans = [(row.purpose, row.starts, row.ends) for row in dated if not row.dark]
        if not any(row.dark for row in dated):
            spans += [
                (row.purpose, row.starts, row.ends)
                for row in self.spans
                if row.purpose not in replaced and row.holds_on(day)
            ]
        return spans


@dataclass(frozen=True, slots=True)
class Lit:
    """Which lighting states burn at once, and whether visitors are in."""

    states: frozenset[LampState]
    public: bool


@dataclass(slots=True)
class _Steps:
    """Disjoint spans in order, with the minutes before each: one look-up per bisection."""

    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    before: list[int] = field(default_factory=list)
    total: int = 0

    def add(self, start: int, end: int) -> None:
        if self.ends and self.ends[-1] == start:
            self.ends[-1] = end
        else:
            self.starts.append(start)
            self.ends.append(end)
            self.before.append(self.total)
        self.total += end - start

    def upto(self, minute: int) -> int:
        index = bisect_right(self.starts, minute) - 1
        if index < 0:
            return 0
        return self.before[index] + min(minute, self.ends[index]) - self.starts[index]


def _sweep(spans: Iterable[tuple[int, int, Purpose]], first: int, last: int) -> dict[Lit, _Steps]:
    """Cut overlapping spans of several purposes into disjoint ones, clipped to [first, last)."""
    changes: dict[int, list[tuple[Purpose, int]]] = defaultdict(list)
    for start, end, purpose in spans:
        start, end = max(start, first), min(end, last)
        if start < end:
            changes[start].append((purpose, 1))
            changes[end].append((purpose, -1))
    burning = dict.fromkeys(Purpose, 0)
    steps: dict[Lit, _Steps] = {}
    since, lit = first, None
    for minute in sorted(changes):
        if lit is not None:
            steps.setdefault(lit, _Steps()).add(since, minute)
        for purpose, change in changes[minute]:
            burning[purpose] += change
        on = [purpose for purpose in Purpose if burning[purpose]]
        states = frozenset(STATE_OF[purpose] for purpose in on)
        since, lit = minute, Lit(states, Purpose.PUBLIC in on) if on else None
    return steps


class LitCurve:
    """Cumulative lit minutes of one timetable on one zone's clock, grown year by year as asked."""

    def __init__(self, timetable: Timetable, zone: ZoneInfo) -> None:
        self.timetable = timetable
        self.zone = zone
        self._years: dict[int, dict[Lit, _Steps]] = {}
        self._days: dict[date, dict[Lit, int]] = {}

    def _spans_of_day(self, day: date) -> Iterable[tuple[int, int, Purpose]]:
        midnight, next_midnight = (day_start(day + timedelta(n), self.zone) for n in (0, 1))
        if midnight == next_midnight:
            return
        day_after = day_start(day + timedelta(2), self.zone)
        plain = next_midnight - midnight == day_after - next_midnight == MINUTES_PER_DAY
        for purpose, starts, ends in self.timetable.spans_on(day):
            if plain:
                # No change of clocks today or tomorrow: wall minutes are real minutes.
                yield midnight + starts, midnight + ends, purpose
            else:
                yield wall_start(day, starts, self.zone), wall_end(day, ends, self.zone), purpose

    def _year(self, year: int) -> dict[Lit, _Steps]:
        steps = self._years.get(year)
        if steps is None:
            first, last = date(year, 1, 1), date(year + 1, 1, 1)
            day, spans = first - timedelta(1), list[tuple[int, int, Purpose]]()
            while day < last:
                spans += self._spans_of_day(day)
                day += timedelta(1)
            steps = _sweep(spans, day_start(first, self.zone), day_start(last, self.zone))
            self._years[year] = steps
        return steps

    def kinds(self) -> set[LampState]:
        """Return every lighting state the timetable can put on."""
        purposes = {row.purpose for row in self.timetable.spans}
        purposes |= {row.purpose for row in self.timetable.exceptions if not row.dark}
        return {STATE_OF[purpose] for purpose in purposes}

    def _years_in(self, since: int, until: int) -> Iterable[dict[Lit, _Steps]]:
        """Yield the steps of each year that [since, until) touches."""
        if until <= since:
            return
        year = _year_of(since, self.zone)
        while day_start(date(year, 1, 1), self.zone) < until:
            yield self._year(year)
            year += 1

    def burning(self, since: int, until: int) -> set[Lit]:
        """Return everything that burns in the years [since, until) touches."""
        return {lit for steps in self._years_in(since, until) for lit in steps}

    def spans(self, lit: Lit, since: int, until: int) -> tuple[list[int], list[int]]:
        """Return starts and ends of the spans in which just this burns, in order.

        At least those in [since, until); disjoint, each with its end after its start.
        """
        starts, ends = list[int](), list[int]()
        for steps in self._years_in(since, until):
            found = steps.get(lit)
            if found is not None:
                starts += found.starts
                ends += found.ends
        return starts, ends

    def minutes(self, since: int, until: int) -> dict[Lit, int]:
        """Return the lit minutes in [since, until) by what burns; dark minutes are left out."""
        found: dict[Lit, int] = defaultdict(int)
        for year in self._years_in(since, until):
            for lit, steps in year.items():
                minutes = steps.upto(until) - steps.upto(since)
                if minutes:
                    found[lit] += minutes
        return found

    def day(self, day: date) -> Mapping[Lit, int]:
        """Return the lit minutes of one whole local day by what burns."""
        found = self._days.get(day)
        if found is None:
            start, end = (day_start(day + timedelta(n), self.zone) for n in (0, 1))
            found = self._days[day] = dict(self.minutes(start, end))
        return found

    def lit_minutes(self, since: int, until: int) -> int:
        """Return the minutes in [since, until) in which anything burns."""
        return sum(self.minutes(since, until).values())

    def public_minutes(self, since: int, until: int) -> int:
        """Return the minutes in [since, until) in which visitors are in."""
        return sum(n for lit, n in self.minutes(since, until).items() if lit.public)


def _year_of(minute: int, zone: ZoneInfo) -> int:
    # Minutes since the epoch to years, then settled by the zone's own new year.
    year = 1970 + minute // 525_960
    while day_start(date(year + 1, 1, 1), zone) <= minute:
        year += 1
    while day_start(date(year, 1, 1), zone) > minute:
        year -= 1
    return year


@lru_cache(maxsize=64)
def curve_of(timetable: Timetable, zone: ZoneInfo) -> LitCurve:
    """Return the curve of a timetable; the cache is keyed by the timetable's whole content."""
    return LitCurve(timetable, zone)
