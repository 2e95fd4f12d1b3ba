"""Dose of a stay: illuminance × lit hours, piece by piece, to the minute.

A stay is a face shown at one place from minute to minute. Readings and light events cut it into
pieces; each piece is its band of levels times the lit minutes of the timetable in it. Where several
lighting states burn at once the brightest counts.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from lifecycle.planning.levels import (
    ASSUMED,
    Basis,
    LevelRule,
    Piece,
    Position,
    level_now,
    pieces_of_state,
)
from lifecycle.planning.lit_hours import LampState, Lit, LitCurve, curve_of
from lifecycle.planning.logged import Logged
from lifecycle.planning.moments import day_start, local_day, minute_of
from lifecycle.planning.quantities import DARK, Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A face shown at a place. ``until`` is None while it is up; ``planned_until`` ends the plan.

    ``ceiling`` is the highest level allowed there [half deci-lux].
    """

    position: Position
    since: datetime
    until: datetime | None = None
    planned_until: datetime | None = None
    ceiling: int | None = None
    label: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Slice:
    """A piece in which every lighting state has one band of levels."""

    start: int
    end: int
    levels: tuple[tuple[LampState, Piece], ...]
    basis: Basis
    logged: Logged | None = None
    """The series that stands for this slice instead of its levels."""

    def cut(self, start: int, end: int) -> "Slice":
        """Return the part of the slice inside a span."""
        return replace(self, start=max(start, self.start), end=min(end, self.end))

    def band_of(self, lit: Lit) -> Band:
        """Return the brightest of what burns."""
        band = DARK
        for state, piece in self.levels:
            if state in lit.states:
                band = band.brighter(piece.band)
        return band

    def assumed_in(self, lit: Lit) -> bool:
        """Whether no state that was really read is as bright as the brightest of what burns."""
        burning = [piece for state, piece in self.levels if state in lit.states]
        brightest = max((piece.band.likely for piece in burning), default=0)
        return all(piece.assumed for piece in burning if piece.band.likely == brightest)

    def borrowed(self, lit: Lit) -> frozenset[LampState]:
        """Return the burning states that have no reading of their own."""
        return frozenset(
            state for state, piece in self.levels if piece.assumed_state and state in lit.states
        )


@dataclass(frozen=True, slots=True)
class Part:
    """What a slice came to: for the list behind an answer."""

    start: int
    end: int
    basis: Basis
    level: Band
    lit_minutes: int
    public_minutes: int
    dose: Band
    assumed_dose: int
    borrowed: frozenset[LampState]

    @property
    def assumed(self) -> bool:
        """Whether the show light of the stretch itself rests on an assumption."""
        return self.basis in ASSUMED


_STATES: Final = tuple(LampState)


def _slices(by_state: Sequence[tuple[LampState, Sequence[Piece]]]) -> Iterator[Slice]:
    """Merge the pieces of all states; each list covers the same span without holes."""
    edges = sorted({piece.start for _, pieces in by_state for piece in pieces})
    ends = max((piece.end for _, pieces in by_state for piece in pieces), default=0)
    at = [0] * len(by_state)
    for start, end in zip(edges, [*edges[1:], ends], strict=True):
        levels: list[tuple[LampState, Piece]] = []
        basis = Basis.PLANNED
        for index, (state, pieces) in enumerate(by_state):
            while pieces[at[index]].end <= start:
                at[index] += 1
            piece = pieces[at[index]]
            levels.append((state, piece))
            if state is LampState.SHOW:
                basis = piece.basis
        yield Slice(start, end, tuple(levels), basis)


def _with_logs(slices: Sequence[Slice], logs: Sequence[Logged]) -> list[Slice]:
    """Let logged light stand instead of the readings wherever it has data: never both."""
    cut = list(slices)
    for log in logs:
        found: list[Slice] = []
        for piece in cut:
            start = piece.start
            spans = [] if piece.logged is not None else log.known
            for since, until in spans:
                if until <= start or since >= piece.end:
                    continue
                if start < since:
                    found.append(piece.cut(start, since))
                inside = piece.cut(max(start, since), until)
                found.append(replace(inside, basis=Basis.LOGGED, logged=log))
                start = inside.end
            if start < piece.end:
                found.append(piece.cut(start, piece.end))
        cut = found
    return cut


def _states_used(curve: LitCurve) -> list[LampState]:
    used = {LampState.SHOW} | curve.kinds()
    return [state for state in _STATES if state in used]


class Exposure:
    """The cumulative dose of one stay up to ``at``, and of its plan beyond."""

    def __init__(self, stay: Stay, rule: LevelRule, at: datetime, zone: ZoneInfo) -> None:
        self.stay = stay
        self.zone = zone
        self.start = minute_of(stay.since)
        now = minute_of(at)
        ended = now if stay.until is None else min(minute_of(stay.until), now)
        self.end = max(ended, self.start)
        self.plan_end = self.end
        if stay.until is None and stay.planned_until is not None:
            self.plan_end = max(self.end, minute_of(stay.planned_until))
        table = stay.position.timetable
        self.curve = None if table is None else curve_of(table, zone)
        self.cover = 0 if table is None else table.cover_percent
        own = LevelRule(
            gap_minutes=rule.gap_minutes,
            ceiling=rule.ceiling if stay.ceiling is None else stay.ceiling,
            mean_between=rule.mean_between,
        )
        self.rule = own
        self.slices = self._past(own) + self._plan()

    def _past(self, rule: LevelRule) -> list[Slice]:
        if self.curve is None or self.start >= self.end:
            return []
        states = _states_used(self.curve)
        slices = list(
            _slices(
                [
                    (s, pieces_of_state(self.stay.position, s, rule, self.start, self.end))
                    for s in states
                ]
            )
        )
        return _with_logs(slices, self.stay.position.logged)

    def _plan(self) -> list[Slice]:
        if self.end >= self.plan_end:
            return []
        ahead = self.going_on(self.plan_end)
        return [] if ahead is None else [ahead]

    def going_on(self, until: int) -> Slice | None:
        """Return the light it goes on with from the moment of the inputs to ``until``."""
        if self.curve is None:
            return None
        levels = []
        basis = Basis.PLANNED
        for state in _states_used(self.curve):
            piece = level_now(self.stay.position, state, self.rule, self.end)
            levels.append((state, piece))
            if state is LampState.SHOW:
                basis = piece.basis
        return Slice(self.end, until, tuple(levels), basis)

    def local_day(self, minute: int) -> date:
        """Return the local date of a minute, on the clock of the place."""
        return local_day(minute, self.zone)

    @property
    def level_now(self) -> int:
        """Return the likely level of the show light the plan goes on with [half deci-lux]."""
        for state, piece in self.slices[-1].levels if self.slices else ():
            if state is LampState.SHOW:
                return piece.band.likely
        return 0

    @property
    def unread(self) -> bool:
        """Whether light fell with neither a reading nor a ceiling to charge it by."""
        if self.rule.ceiling is not None or self.stay.position.readings:
            return False
        return not self.slices or any(piece.logged is None for piece in self.slices)

    def parts(self, since: int, until: int) -> Iterator[Part]:
        """Yield what each slice came to inside [since, until)."""
        if self.curve is None:
            return
        for piece in self.slices:
            start, end = max(piece.start, since), min(piece.end, until)
            if start >= end:
                continue
            dose, lit_minutes, public, level = DARK, 0, 0, DARK
            assumed_dose, borrowed = 0, frozenset[LampState]()
            lit_by_table = self.curve.minutes(start, end)
            if piece.logged is not None:
                yield _logged_part(piece.logged, start, end, lit_by_table)
                continue
            for lit, minutes in lit_by_table.items():
                band = piece.band_of(lit)
                dose += band * (minutes * self.cover)
                if piece.assumed_in(lit):
                    assumed_dose += band.likely * minutes * self.cover
                borrowed |= piece.borrowed(lit)
                level = level.brighter(band)
                lit_minutes += minutes
                public += minutes if lit.public else 0
            yield Part(
                start, end, piece.basis, level, lit_minutes, public, dose, assumed_dose, borrowed
            )

    def dose(self, since: int, until: int) -> Band:
        """Return the dose in [since, until), in units."""
        total = DARK
        for part in self.parts(since, until):
            total += part.dose
        return total

    def day_doses(self) -> Iterator[tuple[date, int]]:
        """Yield each local day of the stay and its plan with its likely dose, days in order.

        A day that several pieces share is yielded once for each of them.
        """
        if self.curve is None:
            return
        for piece in self.slices:
            weights: dict[Lit, int] = {}
            day = self.local_day(piece.start)
            start = day_start(day, self.zone)
            while start < piece.end:
                following = day + timedelta(1)
                end = day_start(following, self.zone)
                if piece.logged is not None:
                    yield day, piece.logged.dose(max(start, piece.start), min(end, piece.end))
                    day, start = following, end
                    continue
                if piece.start <= start and end <= piece.end:
                    minutes = self.curve.day(day)
                else:
                    minutes = self.curve.minutes(max(start, piece.start), min(end, piece.end))
                dose = 0
                for lit, number in minutes.items():
                    if lit not in weights:
                        weights[lit] = piece.band_of(lit).likely * self.cover
                    dose += weights[lit] * number
                yield day, dose
                day, start = following, end

    def assumed_dose(self, since: int, until: int) -> int:
        """Return the likely dose in [since, until) that rests on an assumption."""
        return sum(part.assumed_dose for part in self.parts(since, until))


def _logged_part(log: Logged, start: int, end: int, lit_by_table: Mapping[Lit, int]) -> Part:
    """What a logged slice came to; the timetable's minutes stand beside it for comparison."""
    return Part(
        start,
        end,
        Basis.LOGGED,
        log.levels_in(start, end),
        sum(lit_by_table.values()),
        sum(minutes for lit, minutes in lit_by_table.items() if lit.public),
        Band.sure(log.dose(start, end)),
        0,
        frozenset(),
    )


@lru_cache(maxsize=4096)
def exposure_of(stay: Stay, rule: LevelRule, at: datetime, zone: ZoneInfo) -> Exposure:
    """Return the exposure of a stay; the cache is keyed by everything that goes in."""
    return Exposure(stay, rule, at, zone)
