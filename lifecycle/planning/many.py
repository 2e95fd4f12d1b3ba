"""Accounts and last days of very many faces at once, in arrays; the same figures as one by one.

What burns at which level is read off the same pieces as for one face. The sums are taken over all
faces together: each piece of each stay becomes a row (face, from, to, three weights) under the
light that burns, and a row's dose is its weight times a difference of lit minutes. Exact integers:
120,000 units are one lux hour, so int64 holds seventy-six million million of them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from lifecycle.planning.exposure import Exposure, Slice
from lifecycle.planning.last_day import LOOK_AHEAD_DAYS
from lifecycle.planning.ledger import FaceInputs, Ledger, lump_minute
from lifecycle.planning.lit_hours import Lit, LitCurve, curve_of
from lifecycle.planning.logged import Logged
from lifecycle.planning.moments import day_start, local_day, minute_of, window_first_day
from lifecycle.planning.quantities import Band

Ints = NDArray[np.int64]
LONG_AGO: Final = -(2**60)


@dataclass(frozen=True, slots=True)
class FaceSum:
    """What one face comes to [units].

    ``left`` is None without a house rule or where something is missing; ``last_day`` is the last
    day by the account alone, None when nothing is up, or it is not reached within the look ahead.
    """

    spent: Band
    booked: Band
    lifetime: Band
    left: Band | None
    last_day: date | None


class _Minutes:
    """Lit minutes of one kind of light on one timetable: one look-up for many moments."""

    def __init__(self, curve: LitCurve, lit: Lit, first: int, last: int) -> None:
        starts, ends = curve.spans(lit, first, last)
        self.starts, self.ends = np.array(starts, np.int64), np.array(ends, np.int64)
        self.before = np.concatenate(([0], np.cumsum(self.ends - self.starts)))

    def upto(self, moments: Ints) -> Ints:
        """Return the lit minutes before each moment."""
        if not self.starts.size:
            return np.zeros_like(moments)
        index = np.searchsorted(self.starts, moments, side="right") - 1
        at = np.maximum(index, 0)
        found = self.before[at] + np.minimum(moments, self.ends[at]) - self.starts[at]
        return np.where(index < 0, 0, found)


@dataclass(slots=True)
class _Rows:
    """Rows while they are collected: face, from, to, weights low, likely and high."""

    rows: list[tuple[int, int, int, int, int, int]] = field(default_factory=list)

    def add(self, face: int, start: int, end: int, band: Band) -> None:
        if band.high and start < end:
            self.rows.append((face, start, end, band.low, band.likely, band.high))


@dataclass(frozen=True, slots=True)
class _Block:
    """Rows that share one curve; without one a row is a lump: its weight counts once."""

    minutes: _Minutes | None
    rows: Ints

    def only(self, keep: NDArray[np.bool_]) -> "_Block":
        return _Block(self.minutes, self.rows[:, keep])

    def doses(self, since: Ints, until: Ints, weight: int) -> tuple[Ints, Ints]:
        """Return (face, dose) of each row within its face's span; weight 3 low, 4 likely, 5 high.

        ``since`` and ``until`` hold one moment for each face.
        """
        face, start, end = self.rows[0], self.rows[1], self.rows[2]
        if self.minutes is None:
            inside = (since[face] <= start) & (start < until[face])
            return face, self.rows[weight] * inside
        first = np.maximum(start, since[face])
        last = np.maximum(first, np.minimum(end, until[face]))
        lit = self.minutes.upto(last) - self.minutes.upto(first)
        return face, self.rows[weight] * lit


class Many:
    """Rows of many faces; ask for their sums.

    :param planned_ends: the last day each face is meant to stay up, as for ``last_day``; without
        them the day of the inputs
    """

    def __init__(
        self, inputs: Sequence[FaceInputs], planned_ends: Sequence[date] | None = None
    ) -> None:
        self.inputs = list(inputs)
        self._ends = list(planned_ends or (one.today for one in inputs))
        self._curves: dict[int, LitCurve] = {}
        self._sure: dict[tuple[int, Lit], _Rows] = {}
        self._beyond: dict[tuple[int, Lit], _Rows] = {}
        self._lumps = _Rows()
        count = len(self.inputs)
        self.now, self.far = np.zeros(count, np.int64), np.zeros(count, np.int64)
        self._up: list[date | None] = [None] * count
        self._lacks = [False] * count
        for number, one in enumerate(self.inputs):
            self._take(number, one)

    def _take(self, number: int, inputs: FaceInputs) -> None:
        ledger = Ledger(inputs)
        self.now[number] = ledger.now
        self.far[number] = max((end for _, end in ledger.displays()), default=ledger.now) + 1
        refs = {row.stay.ref for row in ledger.open_exposures}
        if refs:
            shown = [row.start for row in ledger.exposures if row.stay.ref in refs]
            self._up[number] = local_day(min(shown), ledger.zone)
        horizon = day_start(self._horizon(number), ledger.zone)
        for row in ledger.exposures:
            self._lacks[number] |= row.unread or row.curve is None
            self._take_stay(number, row, horizon)
        for entry in ledger.charged:
            minute = lump_minute(entry)
            self._lumps.add(number, minute, minute + 1, entry.dose)
        for plan in inputs.plans:
            table = plan.position.timetable
            if table is None:
                self._lacks[number] = True
                continue
            start, end = max(minute_of(plan.since), ledger.now), minute_of(plan.until)
            curve = curve_of(table, ledger.zone)
            band = Band.sure(plan.level * table.cover_percent)
            for lit in curve.burning(start, end):
                self._rows_of(self._sure, curve, lit).add(number, start, end, band)

    def _horizon(self, number: int) -> date:
        today = self.inputs[number].today
        return max(self._ends[number], today) + timedelta(LOOK_AHEAD_DAYS)

    def _take_stay(self, number: int, row: Exposure, horizon: int) -> None:
        for piece in row.slices:
            if piece.logged is not None:
                self._take_logged(number, row, piece, piece.logged)
            else:
                self._take_slice(self._sure, number, row, piece)
        if row.stay.until is not None:
            return
        ahead = row.going_on(horizon)
        if ahead is not None and row.plan_end < horizon:
            beyond = Slice(row.plan_end, horizon, ahead.levels, ahead.basis)
            self._take_slice(self._beyond, number, row, beyond)

    def _take_logged(self, number: int, row: Exposure, piece: Slice, log: Logged) -> None:
        """Logged light as one lump a local day: windows and last days begin and end with days."""
        start = piece.start
        while start < piece.end:
            following = day_start(row.local_day(start) + timedelta(1), row.zone)
            end = min(following, piece.end)
            self._lumps.add(number, start, start + 1, Band.sure(log.dose(start, end)))
            start = end

    def _take_slice(
        self, rows: dict[tuple[int, Lit], _Rows], number: int, row: Exposure, piece: Slice
    ) -> None:
        if row.curve is None:
            return
        for lit in row.curve.burning(piece.start, piece.end):
            band = piece.band_of(lit) * row.cover
            self._rows_of(rows, row.curve, lit).add(number, piece.start, piece.end, band)

    def _rows_of(self, rows: dict[tuple[int, Lit], _Rows], curve: LitCurve, lit: Lit) -> _Rows:
        self._curves[id(curve)] = curve
        return rows.setdefault((id(curve), lit), _Rows())

    def _blocks_of(self, rows: dict[tuple[int, Lit], _Rows]) -> Iterator[_Block]:
        for (key, lit), found in rows.items():
            if found.rows:
                array = np.array(found.rows, np.int64).T.copy()
                first, last = int(array[1].min()), int(array[2].max())
                yield _Block(_Minutes(self._curves[key], lit, first, last), array)

    @cached_property
    def _arrays(self) -> tuple[list[_Block], list[_Block]]:
        """The rows as arrays: what is on record or promised, and what would go on beyond."""
        sure = list(self._blocks_of(self._sure))
        if self._lumps.rows:
            sure.append(_Block(None, np.array(self._lumps.rows, np.int64).T.copy()))
        return sure, list(self._blocks_of(self._beyond))

    def _total(self, blocks: Sequence[_Block], since: Ints, until: Ints, weight: int) -> Ints:
        total = np.zeros(len(self.inputs), np.int64)
        for block in blocks:
            face, dose = block.doses(since, until, weight)
            np.add.at(total, face, dose)
        return total

    def _bands(self, since: Ints, until: Ints) -> list[Band]:
        sure, _ = self._arrays
        low, likely, high = (self._total(sure, since, until, n).tolist() for n in (3, 4, 5))
        return [Band(*row) for row in zip(low, likely, high, strict=True)]

    def sums(self) -> list[FaceSum]:
        """Return spent, booked, left, lifetime and last day of every face, in their order."""
        since = np.full(len(self.inputs), LONG_AGO, np.int64)
        window = since.copy()
        for number, one in enumerate(self.inputs):
            if one.limits is not None:
                first = window_first_day(one.today, one.limits.window_years)
                window[number] = day_start(first, one.clock)
        spent = self._bands(window, self.now)
        booked = self._bands(self.now, self.far)
        lifetime = self._bands(since, self.now)
        days = self._last_days()
        return [
            FaceSum(
                spent=spent[number],
                booked=booked[number],
                lifetime=lifetime[number],
                left=self._left(number, spent[number] + booked[number]),
                last_day=days[number],
            )
            for number in range(len(self.inputs))
        ]

    def _left(self, number: int, used: Band) -> Band | None:
        limits = self.inputs[number].limits
        return None if limits is None or self._lacks[number] else used.left_of(limits.allowance)

    def _last_days(self) -> list[date | None]:
        """Leap from day to day that the account can't be passed before, until it is passed.

        From a day whose window holds W, no window before the day on which allowance − W more has
        come in can be too full, whatever leaves it meanwhile.
        """
        found: list[date | None] = [None] * len(self.inputs)
        at = {
            number: first
            for number, first in enumerate(self._up)
            if first is not None
            and not self._lacks[number]
            and self.inputs[number].limits is not None
            and first < self._horizon(number)
        }
        while at:
            sure, beyond = self._arrays
            active = np.zeros(len(self.inputs), np.bool_)
            active[list(at)] = True
            blocks = [block.only(active[block.rows[0]]) for block in (*sure, *beyond)]
            since, until = self._moments(at, back=True), self._moments(at, back=False)
            held = self._total(blocks, since, until, 4)
            room: dict[int, int] = {}
            for number, day in at.items():
                limits = self.inputs[number].limits
                left = 0 if limits is None else limits.allowance - int(held[number])
                if left < 0:
                    found[number] = day - timedelta(1)
                else:
                    room[number] = left
            at = self._leap(blocks, {number: at[number] for number in room}, room)
        return found

    def _moments(self, at: dict[int, date], *, back: bool) -> Ints:
        """Return when each face's window on its day begins, or when that day ends."""
        moments = np.zeros(len(self.inputs), np.int64)
        for number, day in at.items():
            one = self.inputs[number]
            if back and one.limits is not None:
                day = window_first_day(day, one.limits.window_years)
            elif not back:
                day += timedelta(1)
            moments[number] = day_start(day, one.clock)
        return moments

    def _leap(
        self, blocks: Sequence[_Block], at: dict[int, date], room: dict[int, int]
    ) -> dict[int, date]:
        """Return, per face, the first day by whose end more than its room has come in.

        Faces for which there is none before their horizon are left out.
        """
        since = self._moments(at, back=False)
        left = np.zeros(len(self.inputs), np.int64)
        left[list(room)] = list(room.values())
        later = [block.only(block.rows[2] > since[block.rows[0]]) for block in blocks]
        low = dict(at)  # not more by the end of this day
        high = {number: self._horizon(number) - timedelta(1) for number in at}
        past = self._total(later, since, self._moments(high, back=False), 4) > left
        low = {number: day for number, day in low.items() if past[number]}
        high = {number: high[number] for number in low}
        while any((high[number] - low[number]).days > 1 for number in low):
            middle = {
                number: low[number] + timedelta((high[number] - low[number]).days // 2)
                for number in low
            }
            past = self._total(later, since, self._moments(middle, back=False), 4) > left
            for number, day in middle.items():
                if past[number]:
                    high[number] = day
                else:
                    low[number] = day
        return high
