"""Turn days: when each face of an object is shown, so that none gets more light than need be.

One place, one run, k faces one after another, a turn between two of them on an allowed day. On a
closed day that is lit the turn counts for neither face; a turn before opening gives the day to the
new face. Made even is the load of each face: what it had before, and gets, by its weight. A
two-pass exact dynamic programme over the allowed days finds the least worst load, and among those
the least sum of squares, then the earlier days; two passes are needed, since one that carries both
can lose the tie-break from four faces on. Integers throughout: loads are compared over their
common denominator. Method: ours.
"""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from math import lcm
from typing import Final
from zoneinfo import ZoneInfo

from lifecycle.planning.counting import counted
from lifecycle.planning.lit_hours import LampState, Lit, Timetable, curve_of
from lifecycle.planning.quantities import whole_lx_h

DAY: Final = timedelta(1)


class When(StrEnum):
    """How a turn counts on its day."""

    CLOSED = "closed"
    BEFORE_OPENING = "before_opening"

    @property
    def label(self) -> str:
        return "closed day" if self is When.CLOSED else "before opening"


@dataclass(frozen=True, slots=True, order=True)
class TurnDay:
    """A day on which a turn may be made. The old face is up to the day before it."""

    day: date
    when: When = When.CLOSED

    @property
    def new_from(self) -> date:
        """First day of the new face."""
        return self.day + DAY if self.when is When.CLOSED else self.day


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """One face in its order. Doses are in units, ``level`` in half deci-lux.

    ``other`` holds the lamp states that have a level of their own; the brightest that burns counts.
    ``before`` is what it had already of what is made even; ``weight`` is 1, or what its account
    had left, if shares of it are made even. ``most`` is what it may still get, ``last_day`` the
    last day it may be up, ``most_days`` how many days its stretch may have.
    """

    label: str
    level: int
    other: tuple[tuple[LampState, int], ...] = ()
    before: int = 0
    weight: int = 1
    most: int | None = None
    last_day: date | None = None
    most_days: int | None = None
    ref: str = ""

    def __post_init__(self) -> None:
        if self.weight < 1:
            raise ValueError(f"{self.label}: a weight is at least 1, not {self.weight}.")
        if self.level < 0 or self.before < 0:
            raise ValueError(f"{self.label}: light cannot be negative.")

    def level_of(self, lit: Lit) -> int:
        """Return the level of the brightest of what burns [half deci-lux]."""
        own = dict(self.other)
        return max(own.get(state, self.level) for state in lit.states)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The days that are shared out: first and last included, in the hours of one place."""

    timetable: Timetable
    zone: str
    first: date
    last: date
    allowed: tuple[TurnDay, ...]
    least_days: int = 1

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError("The span ends before it starts.")
        if self.least_days < 1:
            raise ValueError("A face is shown for at least one day.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One face's part of the run: its days, what it gets in them, and its load afterwards."""

    face: Turned
    first: date
    last: date
    dose: int

    @property
    def load(self) -> int:
        return self.face.before + self.dose

    @property
    def lx_h(self) -> int:
        return whole_lx_h(self.dose)

    @property
    def load_lx_h(self) -> int:
        return whole_lx_h(self.load)


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnPlan:
    """One way to share out the run: its turn days and what each face gets."""

    days: tuple[TurnDay, ...]
    stretches: tuple[Stretch, ...]
    faults: tuple[str, ...] = ()

    @property
    def worst(self) -> Fraction:
        """The largest load by weight; what is made small."""
        return max(Fraction(row.load, row.face.weight) for row in self.stretches)

    @property
    def spread(self) -> int:
        """Difference between the most and the least load [units]."""
        loads = [row.load for row in self.stretches]
        return max(loads) - min(loads)

    @property
    def order(self) -> tuple[Fraction, Fraction, tuple[date, ...]]:
        """Less is more even: least worst load, then least sum of squares, then earlier."""
        loads = [Fraction(row.load, row.face.weight) for row in self.stretches]
        return (max(loads), sum((one * one for one in loads), Fraction(0)), _dates(self.days))


def _dates(days: Sequence[TurnDay]) -> tuple[date, ...]:
    return tuple(row.day for row in days)


class Sharing:
    """A run with its faces in order; sums of lit minutes by day are worked out once."""

    def __init__(self, run: Run, faces: Sequence[Turned]) -> None:
        if not faces:
            raise ValueError("Name at least one face.")
        self.run, self.faces = run, tuple(faces)
        curve = curve_of(run.timetable, ZoneInfo(run.zone))
        cover = run.timetable.cover_percent
        self._lit = [0]
        self._sums: list[list[int]] = [[0] for _ in faces]
        for n in range((run.last - run.first).days + 1):
            burning = curve.day(run.first + timedelta(n))
            self._lit.append(self._lit[-1] + sum(burning.values()) * cover)
            for face, sums in zip(faces, self._sums, strict=True):
                dose = sum(face.level_of(lit) * minutes for lit, minutes in burning.items())
                sums.append(sums[-1] + dose * cover)
        inside = {
            row
            for row in run.allowed
            if run.first < row.day <= run.last and row.new_from <= run.last
        }
        self.allowed = sorted(inside)

    def _between(self, sums: Sequence[int], first: date, last: date) -> int:
        since = max((first - self.run.first).days, 0)
        until = min((last - self.run.first).days + 1, len(sums) - 1)
        return sums[until] - sums[since] if since < until else 0

    def lit(self, first: date, last: date) -> int:
        """Return lit minutes times cover percent of whole days, both included."""
        return self._between(self._lit, first, last)

    def dose(self, k: int, first: date, last: date) -> int:
        """Return what face ``k`` would get on whole days, both included [units]."""
        return self._between(self._sums[k], first, last)

    def plan(self, days: Sequence[TurnDay]) -> TurnPlan:
        """Return what a set of turn days, in order, gives each face, and what speaks against it.

        :raises ValueError: if there is not one day fewer than faces
        """
        if len(days) != len(self.faces) - 1:
            raise ValueError(f"{len(self.faces)} faces need {len(self.faces) - 1} turns.")
        starts = [self.run.first, *(row.new_from for row in days)]
        ends = [*(row.day - DAY for row in days), self.run.last]
        stretches = tuple(
            Stretch(face=face, first=start, last=end, dose=self.dose(k, start, end))
            for k, (face, start, end) in enumerate(zip(self.faces, starts, ends, strict=True))
        )
        faults = [text for row in stretches for text in self._faults(row)]
        return TurnPlan(days=tuple(days), stretches=stretches, faults=tuple(faults))

    def _faults(self, row: Stretch) -> list[str]:
        found = []
        days = (row.last - row.first).days + 1
        if days < self.run.least_days:
            found.append(f"{row.face.label} is up for {counted(max(days, 0), 'day')} only.")
        if row.face.most_days is not None and days > row.face.most_days:
            found.append(
                f"{row.face.label} is up for longer than {counted(row.face.most_days, 'day')}."
            )
        if row.face.most is not None and row.dose > row.face.most:
            found.append(f"{row.face.label} gets more than its account allows.")
        if row.face.last_day is not None and row.last > row.face.last_day:
            found.append(f"{row.face.label} passes its last day.")
        return found

    @cached_property
    def _scales(self) -> list[int]:
        whole = lcm(*(face.weight for face in self.faces))
        return [whole // face.weight for face in self.faces]

    def best(self) -> TurnPlan | None:
        """Return the most even plan on allowed days that keeps every limit; None if there is none.

        At most faces × allowed days² steps, twice.
        """
        worst = self._least_worst()
        return None if worst is None else self._least_squares(worst)

    def _segments(self, k: int, end: int) -> tuple[range, date]:
        """Return which starts can lie before an end for face ``k``, and the face's last day.

        Start −1 is the run's first day, end ``len(allowed)`` its last.
        """
        last = self.run.last if end == len(self.allowed) else self.allowed[end].day - DAY
        if k == 0:
            return range(-1, 0), last
        latest = last - timedelta(self.run.least_days - 1)
        return range(bisect_left(self._new_from, latest + DAY)), last

    @cached_property
    def _new_from(self) -> list[date]:
        return [row.new_from for row in self.allowed]

    @cached_property
    def _before(self) -> list[list[int]]:
        """For each face, its sum before it would start on each allowed day; at the end a nought."""
        starts = [(row.new_from - self.run.first).days for row in self.allowed]
        return [[*(sums[n] for n in starts), 0] for sums in self._sums]

    def _loads(self, k: int, end: int) -> Iterator[tuple[int, int]]:
        """Yield (start, load over the common denominator) of every start that keeps the limits.

        The latest start first: the load never falls from one to the next.
        """
        face, scale, before = self.faces[k], self._scales[k], self._before[k]
        starts, last = self._segments(k, end)
        until = self._sums[k][(last - self.run.first).days + 1]
        if face.last_day is not None and last > face.last_day:
            return
        if k == 0 and (last - self.run.first).days + 1 < self.run.least_days:
            return
        earliest = date.min if face.most_days is None else last - timedelta(face.most_days - 1)
        for start in reversed(starts):
            if (self.run.first if start < 0 else self._new_from[start]) < earliest:
                return
            dose = until - before[start]  # start −1 reads the nought at the end
            if face.most is not None and dose > face.most:
                return
            yield start, (face.before + dose) * scale

    def _ends(self, k: int) -> range:
        """Return where the stretch of face ``k`` may end: allowed days, for the last the run."""
        count = len(self.allowed)
        return range(count, count + 1) if k == len(self.faces) - 1 else range(count)

    def _least_worst(self) -> int | None:
        reached: dict[int, int] = {-1: 0}
        for k in range(len(self.faces)):
            found: dict[int, int] = {}
            for end in self._ends(k):
                least: int | None = None
                for start, load in self._loads(k, end):
                    if least is not None and load >= least:
                        break
                    if start in reached:
                        worst = max(reached[start], load)
                        least = worst if least is None else min(least, worst)
                if least is not None:
                    found[end] = least
            reached = found
        return reached.get(len(self.allowed))

    def _least_squares(self, worst: int) -> TurnPlan | None:
        reached: dict[int, tuple[int, tuple[int, ...]]] = {-1: (0, ())}
        for k in range(len(self.faces)):
            found: dict[int, tuple[int, tuple[int, ...]]] = {}
            for end in self._ends(k):
                best: tuple[int, tuple[int, ...]] | None = None
                for start, load in self._loads(k, end):
                    if load > worst:
                        break
                    if start not in reached:
                        continue
                    total, path = reached[start]
                    total += load * load
                    if best is None or total < best[0] or (total == best[0] and path < best[1]):
                        best = (total, path)
                if best is not None:
                    found[end] = (best[0], (*best[1], end))
            reached = found
        if len(self.allowed) not in reached:
            return None
        path = reached[len(self.allowed)][1]
        return self.plan([self.allowed[index] for index in path[:-1]])

    def level_of_even(self) -> tuple[Fraction, tuple[Fraction, ...]]:
        """Return the load all would share if turns could be made at any moment, and each share.

        A water level: faces that had more than it already get nothing and are not to be shown.
        Shares are lit minutes times cover percent; a turn's own day is counted to a face here, and
        each face is taken at the mean of its levels over the run.
        """
        total = Fraction(self._lit[-1])
        mean = [Fraction(sums[-1]) / total if total else Fraction(0) for sums in self._sums]
        rows = sorted(
            (Fraction(face.before, face.weight), index)
            for index, face in enumerate(self.faces)
            if mean[index]
        )
        level, filled = Fraction(0), list[int]()
        room = poured = Fraction(0)
        for base, index in rows:
            if filled and level <= base:
                break
            face = self.faces[index]
            room += face.weight / mean[index]
            poured += face.before / mean[index]
            level = (total + poured) / room
            filled.append(index)
        shares = [Fraction(0)] * len(self.faces)
        for index in filled:
            face = self.faces[index]
            shares[index] = (level * face.weight - face.before) / mean[index]
        return level, tuple(shares)

    def single(self) -> list[TurnPlan]:
        """Return the plan of every allowed day, for two faces: the table to choose from."""
        return [self.plan([row]) for row in self.allowed]

    def middle(self, shown_from: date | None = None) -> tuple[list[date], TurnPlan | None]:
        """Return the days a calendar would turn on: the run cut into equal numbers of days.

        Each turn is made before opening on its day. No plan where one of these days is past.

        :param shown_from: first day of a showing that goes on, to be cut as a whole
        """
        first = shown_from or self.run.first
        days = (self.run.last - first).days + 1
        cuts = [first + timedelta(days * n // len(self.faces)) for n in range(1, len(self.faces))]
        if any(day <= self.run.first for day in cuts):
            return cuts, None
        return cuts, self.plan([TurnDay(day, When.BEFORE_OPENING) for day in cuts])


def closed_days(first: date, last: date, timetable: Timetable, zone: str) -> list[date]:
    """Return the days of a span on which no visitor is in, by the timetable."""
    curve = curve_of(timetable, ZoneInfo(zone))
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    return [day for day in days if not any(lit.public for lit in curve.day(day))]
