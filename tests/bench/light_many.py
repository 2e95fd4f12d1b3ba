"""Run as a program: all accounts and last days at once, one face's page, and a hard turn plan.

``python -m tests.bench.light_many [faces]`` prints three lines of seconds and ratios to floors.

1. 20,000 faces with ten years of entries each. Floor: a bare numpy pass over the same doses laid
   out as an array of faces by days: prefix sums, two look-ups for the window, the first day whose
   window is too full. The layout is not timed. It knows no bands, no reasons, no readings.
2. What one face's page computes. Floor: a bare prefix sum of that face's days, one look-up for
   what is spent, and a walk to the last day.
3. Turn days of twelve faces over 400 allowed days. Floor: the two passes in bare numpy without
   limits, orders, days between or exact comparisons.

Both sides must come to the same figures, or the run fails. Seconds are those of this process.
Outside check: none; the floors are ours.
"""

import sys
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import accumulate, pairwise
from time import process_time

import numpy as np
from numpy.typing import NDArray

from lifecycle.planning.account import account_of
from lifecycle.planning.again import Asked, next_allowed
from lifecycle.planning.course import course_of, gaps_of
from lifecycle.planning.exposure import exposure_of
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.ledger import ledger_of
from lifecycle.planning.levels import Position
from lifecycle.planning.many import Many
from lifecycle.planning.moments import window_first_day
from lifecycle.planning.quantities import level_of
from lifecycle.planning.turns import Run, Sharing, TurnDay, Turned, When
from tests.bench.light_account import (
    FIRST,
    LAST,
    PLANNED_END,
    RUNS,
    TODAY,
    doses,
    face,
    floor,
)
from tests.planning.museum import HIGH, NORTH_GALLERY

FACES, CHUNK, PAGE_RUNS = 20_000, 500, 20
Ints = NDArray[np.int64]


def many_floor(numbers: Sequence[int]) -> tuple[float, list[tuple[int, date | None]]]:
    """Seconds of the bare pass, and what each face spent and its last day by the account."""
    days = (LAST - FIRST).days
    begins = np.array(
        [
            max((window_first_day(FIRST + timedelta(n), HIGH.window_years) - FIRST).days, 0)
            for n in range(days)
        ]
    )
    today = (TODAY - FIRST).days
    since = max((window_first_day(TODAY, HIGH.window_years) - FIRST).days, 0)
    up = (RUNS[-1][0] - FIRST).days
    spent_s, found = 0.0, list[tuple[int, date | None]]()
    for start in range(0, len(numbers), CHUNK):
        laid = np.array(
            [np.diff(list(doses(number))) for number in numbers[start : start + CHUNK]], np.int64
        )
        begun = process_time()
        sums = np.zeros((laid.shape[0], days + 1), np.int64)
        np.cumsum(laid, axis=1, out=sums[:, 1:])
        spent = sums[:, today] - sums[:, since]
        windows = sums[:, up + 1 :] - sums[:, begins[up:]]
        over = windows > HIGH.allowance
        first = np.where(over.any(axis=1), over.argmax(axis=1), -1)
        spent_s += process_time() - begun
        for had, day in zip(spent.tolist(), first.tolist(), strict=True):
            last = None if day < 0 else FIRST + timedelta(up + day - 1)
            found.append((had, last))
    return spent_s, found


def all_accounts(count: int) -> None:
    inputs = [face(number) for number in range(count)]
    begun = process_time()
    many = Many(inputs, [PLANNED_END] * count)
    read = process_time() - begun
    begun = process_time()
    sums = many.sums()
    summed = process_time() - begun
    floor_s, bare = many_floor(range(count))
    for one, found, expected in zip(inputs, sums, bare, strict=True):
        if (found.spent.likely, found.last_day) != expected:
            raise SystemExit(f"{one.face}: floor {expected}, arrays {found}")
    print(  # noqa: T201
        f"{count} faces: rows {read:.2f} s, all figures {summed:.2f} s, floor {floor_s:.2f} s; "
        f"figures {summed / floor_s:.1f} times, with reading {(read + summed) / floor_s:.1f} times"
    )


def one_page() -> None:
    """Each run another face, so that no cache holds it."""
    page_s = floor_s = 0.0
    for number in range(PAGE_RUNS):
        inputs = face(number)
        exposure_of.cache_clear()
        ledger_of.cache_clear()
        begun = process_time()
        account = account_of(inputs)
        course_of(inputs)
        gaps_of(inputs)
        last = last_day(inputs, Caps(planned_end=PLANNED_END))
        position = Position(ref="", label="", timetable=NORTH_GALLERY)
        wanted = Asked(position=position, first=date(2027, 3, 1), days=84, level=level_of(50))
        next_allowed(inputs, wanted)
        page_s += process_time() - begun
        begun = process_time()
        spent, day = floor(number)
        floor_s += process_time() - begun
        if (account.spent.likely, last and last.day) != (spent, day):
            raise SystemExit(f"{inputs.face}: floor {(spent, day)}")
    print(  # noqa: T201
        f"one face's page: {1_000 * page_s / PAGE_RUNS:.1f} ms, floor "
        f"{1_000 * floor_s / PAGE_RUNS:.1f} ms, {page_s / floor_s:.1f} times"
    )


def turn_floor(sums: Ints, before: Sequence[int], allowed: Sequence[int]) -> tuple[int, float]:
    """The least worst load and the least sum of squares, turns before opening, bare arrays."""
    cuts = np.array([0, *allowed, len(sums) - 1])
    held = sums[cuts]
    stretch = held[None, :] - held[:, None]
    later = np.arange(len(cuts))[None, :] > np.arange(len(cuts))[:, None]
    worst = np.where(np.arange(len(cuts)) == 0, 0, np.iinfo(np.int64).max)
    for had in before:
        load = np.where(later, stretch + had, np.iinfo(np.int64).max)
        worst = np.maximum(worst[:, None], load).min(axis=0)
    least = int(worst[-1])
    squares = np.where(np.arange(len(cuts)) == 0, 0.0, np.inf)
    for had in before:
        load = np.where(later & (stretch + had <= least), stretch + had, np.inf)
        squares = (squares[:, None] + load**2).min(axis=0)
    return least, float(squares[-1])


def turn_plan() -> None:
    first, days = date(2026, 1, 1), 460
    every = [first + timedelta(n) for n in range(days)]
    allowed = tuple(TurnDay(day, When.BEFORE_OPENING) for day in every[20:420])
    before = [(n * 37) % 11 * 40_000_000 for n in range(12)]
    faces = [Turned(label=str(n), level=level_of(50), before=had) for n, had in enumerate(before)]
    run = Run(timetable=NORTH_GALLERY, zone="UTC", first=first, last=every[-1], allowed=allowed)
    sharing = Sharing(run, faces)
    begun = process_time()
    best = sharing.best()
    best_s = process_time() - begun
    each = [sharing.dose(0, day, day) for day in every]
    sums = np.array(list(accumulate(each, initial=0)), np.int64)
    begun = process_time()
    least, squares = turn_floor(sums, before, [(row.day - first).days for row in allowed])
    floor_s = process_time() - begun
    loads = [] if best is None else [row.load for row in best.stretches]
    if not loads or max(loads) != least or abs(sum(n * n for n in loads) / squares - 1) > 1e-12:
        raise SystemExit(f"floor {least}, {squares}; found {loads}")
    gaps = [(b.first - a.first).days for a, b in pairwise(best.stretches)] if best else []
    print(  # noqa: T201
        f"turn days, 12 faces, 400 allowed: {best_s:.2f} s, floor {floor_s:.3f} s, "
        f"{best_s / floor_s:.1f} times (stretches of {min(gaps)} to {max(gaps)} days)"
    )


if __name__ == "__main__":
    one_page()
    turn_plan()
    all_accounts(int(sys.argv[1]) if len(sys.argv) > 1 else FACES)
