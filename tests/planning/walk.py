"""A second opinion: walk through real time minute by minute and add up the light.

Written from the rules in words, and shares no code with ``lifecycle.planning``: wall clocks are
read off UTC minutes (never the other way round), a span is looked up in that table, and the light
of every single minute is asked for by itself.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from functools import lru_cache
from zoneinfo import ZoneInfo

MINUTE = timedelta(minutes=1)
STATE = {
    "public": "show",
    "events": "show",
    "cleaning": "cleaning",
    "work": "work",
    "residual": "daylight_part",
}


@dataclass(frozen=True)
class Span:
    """Lit from ``starts`` to ``ends``, minutes after midnight of its day."""

    purpose: str
    starts: int
    ends: int


@dataclass(frozen=True)
class Case:
    """What the walk is told. Moments are UTC minutes counted from ``origin``; light is in lux."""

    zone: str
    week: dict[int, tuple[Span, ...]]
    dark: frozenset[date]
    instead: dict[date, tuple[Span, ...]]
    added: dict[date, tuple[Span, ...]]
    readings: tuple[tuple[int, str, Fraction], ...]
    events: tuple[tuple[int, int], ...]
    ceiling: Fraction | None
    gap: int | None
    cover: Fraction


def spans_of(case: Case, day: date) -> list[Span]:
    instead, added = case.instead.get(day, ()), case.added.get(day, ())
    if day in case.dark:
        return [*instead, *added]
    taken = {span.purpose for span in instead}
    week = [span for span in case.week.get(day.weekday(), ()) if span.purpose not in taken]
    return [*week, *instead, *added]


@lru_cache(maxsize=32)
def clock_of(zone: str, origin: datetime, minutes: int) -> "Clock":
    return Clock(ZoneInfo(zone), origin, minutes)


class Clock:
    """Every UTC minute from ``origin`` on with what the wall clock shows in it."""

    def __init__(self, zone: ZoneInfo, origin: datetime, minutes: int) -> None:
        self.walls = [
            (origin + n * MINUTE).astimezone(zone).replace(tzinfo=None) for n in range(minutes)
        ]
        self.when: dict[datetime, list[int]] = defaultdict(list)
        for n, wall in enumerate(self.walls):
            self.when[wall].append(n)
        self.dates = {wall.date() for wall in self.walls}

    def jump_over(self, wall: datetime) -> tuple[int, timedelta] | None:
        """Where the clock jumped over ``wall``, and how far it jumped."""
        for n in range(1, len(self.walls)):
            if self.walls[n - 1] < wall < self.walls[n]:
                return n, self.walls[n] - self.walls[n - 1] - MINUTE
        return None

    def start(self, wall: datetime) -> int | None:
        if found := self.when.get(wall):
            return found[0]
        jump = self.jump_over(wall)
        return None if jump is None else jump[0]

    def end(self, wall: datetime) -> int | None:
        if found := self.when.get(wall):
            return found[-1]
        jump = self.jump_over(wall)
        if jump is None:
            return None
        moved = self.when.get(wall + jump[1])
        return None if not moved else moved[-1]


def burning(case: Case, clock: Clock) -> dict[int, set[str]]:
    """Which purposes burn in each minute; days at the rim of the clock are left out."""
    lit: dict[int, set[str]] = defaultdict(set)
    for day in sorted(clock.dates)[1:-3]:
        midnight = datetime.combine(day, datetime.min.time())
        for span in spans_of(case, day):
            start = clock.start(midnight + span.starts * MINUTE)
            end = clock.end(midnight + span.ends * MINUTE)
            assert start is not None
            assert end is not None
            for minute in range(start, end):
                lit[minute].add(span.purpose)
    return lit


def light_in(case: Case, state: str, minute: int, since: int, until: int) -> list[Fraction]:
    """Low, likely and high illuminance of one state in one minute of a stay."""
    own = [(at, lux) for at, name, lux in case.readings if name == state]
    if not own:
        own = [(at, lux) for at, name, lux in case.readings if name == "show"]
    best: dict[int, Fraction] = {}
    for at, lux in own:
        best[at] = max(best.get(at, lux), lux)
    before_stay = [at for at in best if at <= since]
    after_stay = [at for at in best if at >= until]
    near = {
        at
        for at in best
        if since < at < until
        or (before_stay and at == max(before_stay))
        or (after_stay and at == min(after_stay))
    }
    values = [best[at] for at in near]
    charge = max([*values, *([] if case.ceiling is None else [case.ceiling])], default=Fraction(0))
    charged = [min(values, default=Fraction(0)), charge, charge]
    earlier = max((at for at in near if at <= minute), default=None)
    later = min((at for at in near if at > minute), default=None)
    if earlier is None and later is None:
        return charged
    if earlier is None:
        assert later is not None
        if case.gap is not None and minute < later - case.gap:
            return charged
        for first, last in case.events:
            if first <= later and last > since and minute < min(last, later):
                return charged
        return [best[later]] * 3
    if case.gap is not None and minute >= earlier + case.gap:
        return charged
    if later is None:
        for first, last in case.events:
            if last > earlier and minute >= max(first, earlier):
                return charged
        return [best[earlier]] * 3
    one, two = best[earlier], best[later]
    between = [
        (max(first, earlier), min(last, later))
        for first, last in case.events
        if last > earlier and first <= later
    ]
    unsure = [min(one, two), (one + two) / 2, max(one, two)]
    if not between:
        return unsure
    if minute < min(first for first, _ in between):
        return [one] * 3
    if minute >= max(last for _, last in between):
        return [two] * 3
    return unsure


def walk(
    case: Case, origin: datetime, minutes: int, since: int, until: int, counted_from: int = 0
) -> list[Fraction]:
    """Low, likely and high dose [lx·h] of a stay, and its lit minutes, minute by minute.

    What a minute was lit by depends on the whole stay; ``counted_from`` leaves out earlier minutes.
    """
    assert origin.tzinfo is UTC
    lit = burning(case, clock_of(case.zone, origin, minutes))
    total = [Fraction(0)] * 3
    known: dict[tuple[str, int], list[Fraction]] = {}
    lit_minutes = 0
    for minute in range(max(since, counted_from), until):
        purposes = lit.get(minute)
        if not purposes:
            continue
        lit_minutes += 1
        bands = []
        for state in {STATE[purpose] for purpose in purposes}:
            key = (state, minute)
            if key not in known:
                known[key] = light_in(case, state, minute, since, until)
            bands.append(known[key])
        for n in range(3):
            total[n] += max(band[n] for band in bands) * case.cover / 60
    return [*total, Fraction(lit_minutes)]


def day_by_day(
    case: Case, origin: datetime, minutes: int, since: int, now: int
) -> dict[date, Fraction]:
    """Likely dose of each local day of a display that goes on after ``now`` in the light held then.

    Days at the rim of the clock are left out.
    """
    clock = clock_of(case.zone, origin, minutes)
    lit = burning(case, clock)
    known = [row for row in case.readings if row[0] <= now]
    then = Case(**{**vars(case), "readings": tuple(known)})
    found: dict[date, Fraction] = defaultdict(Fraction)
    last = sorted(clock.dates)[-4]
    for minute, wall in enumerate(clock.walls):
        purposes = lit.get(minute, set())
        if minute < since or wall.date() > last or not purposes:
            continue
        states = {STATE[purpose] for purpose in purposes}
        if minute < now:
            light = max(light_in(case, state, minute, since, now)[1] for state in states)
        else:
            light = max(light_in(then, state, now, now, now + 1)[1] for state in states)
        found[wall.date()] += light * case.cover / 60
    return found


def years_back(day: date, years: int) -> date:
    """The same day of the calendar some years earlier; 29 February falls on the 28th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return date(day.year - years, 2, 28)
