"""Run as a program: every account and last day of 2,000 faces with ten years of entries.

``python -m tests.bench.light_account [faces]`` prints seconds and the ratio to the floor.

The floor is a bare pass of prefix sums over the same entries: one list of daily doses a face,
summed up once, two look-ups for what the window holds, one walk to the first day that passes the
allowance. It knows no bands, no reasons, no gaps and no clock changes. Both must come to the same
figures, or the run fails. Outside check: none; the floor is our own.
"""

import sys
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import accumulate
from time import perf_counter

from lifecycle.planning.account import account_of
from lifecycle.planning.exposure import Stay
from lifecycle.planning.last_day import LOOK_AHEAD_DAYS, Caps, last_day
from lifecycle.planning.ledger import Entry, EntryKind, FaceInputs, ledger_of
from lifecycle.planning.levels import Position
from lifecycle.planning.moments import window_first_day
from lifecycle.planning.quantities import Band, level_of, units_of
from tests.planning.museum import HIGH, LONDON, NORTH_GALLERY, at, reading

FACES = 2_000
TODAY, PLANNED_END = date(2026, 6, 8), date(2026, 9, 6)
FIRST, LAST = date(2016, 6, 1), PLANNED_END + timedelta(LOOK_AHEAD_DAYS)
RUNS = ((date(2016, 6, 1), 90), (date(2020, 2, 3), 120), (date(2026, 3, 14), None))
"""First day and days of each run; the last one goes on."""
LIT_MINUTES = (180, 480, 480, 480, 480, 480, 480)
"""Monday to Sunday, as the lamps of the demo museum burn."""
READ_EVERY_DAYS, COVER_PERCENT = 28, 100


def lux_of(number: int, run: int) -> int:
    """Each face and run has its own light, so that no answer is found in a cache."""
    return 18 + (number * 7 + run * 11) % 20


def face(number: int) -> FaceInputs:
    """Three runs under readings every four weeks, and pictures taken once a year."""
    stays = []
    for run, (first, days) in enumerate(RUNS):
        until = TODAY if days is None else first + timedelta(days)
        read = [first + timedelta(n) for n in range(0, (until - first).days, READ_EVERY_DAYS)]
        lux = lux_of(number, run)
        readings = tuple(reading(lux, day.year, day.month, day.day) for day in read)
        stays.append(
            Stay(
                position=Position(
                    ref=f"{number}/{run}",
                    label=f"case {number}",
                    readings=readings,
                    timetable=NORTH_GALLERY,
                ),
                since=at(first.year, first.month, first.day),
                until=None if days is None else at(until.year, until.month, until.day),
                planned_until=None if days is not None else at(2026, 9, 7),
                ref=f"RQ-{number}-{run}",
            )
        )
    entries = tuple(
        Entry(
            kind=EntryKind.IMAGING,
            since=at(year, 5, 4, 9, 0),
            until=at(year, 5, 4, 9, 30),
            dose=Band.sure(units_of(800 + number % 50)),
        )
        for year in range(2017, 2026)
    )
    return FaceInputs(
        face=f"face {number}",
        zone=str(LONDON),
        at=at(TODAY.year, TODAY.month, TODAY.day),
        limits=HIGH,
        stays=tuple(stays),
        entries=entries,
    )


def doses(number: int) -> Iterator[int]:
    """The dose of each day from FIRST to LAST, in the account's units."""
    daily = [0] * (LAST - FIRST).days
    for run, (first, days) in enumerate(RUNS):
        start = (first - FIRST).days
        end = len(daily) if days is None else start + days
        level = level_of(lux_of(number, run)) * COVER_PERCENT
        for day in range(start, end):
            daily[day] += level * LIT_MINUTES[(FIRST.weekday() + day) % 7]
    for year in range(2017, 2026):
        daily[(date(year, 5, 4) - FIRST).days] += units_of(800 + number % 50)
    return accumulate(daily, initial=0)


def floor(number: int) -> tuple[int, date | None]:
    """What the window holds today, and the last day before the allowance is passed."""
    sums = list(doses(number))

    def window(day: date) -> int:
        since = max((window_first_day(day, HIGH.window_years) - FIRST).days, 0)
        return sums[(day - FIRST).days + 1] - sums[since]

    since = max((window_first_day(TODAY, HIGH.window_years) - FIRST).days, 0)
    spent = sums[(TODAY - FIRST).days] - sums[since]
    day = RUNS[-1][0]
    while day < LAST:
        if window(day) > HIGH.allowance:
            return spent, day - timedelta(1)
        day += timedelta(1)
    return spent, None


def main(faces: int) -> None:
    inputs = [face(number) for number in range(faces)]
    ledger_of.cache_clear()
    begun = perf_counter()
    bare = [floor(number) for number in range(faces)]
    floor_s = perf_counter() - begun
    begun = perf_counter()
    accounts = [account_of(one) for one in inputs]
    account_s = perf_counter() - begun
    begun = perf_counter()
    lasts = [last_day(one, Caps(planned_end=PLANNED_END)) for one in inputs]
    last_s = perf_counter() - begun
    for (spent, day), account, last in zip(bare, accounts, lasts, strict=True):
        found = (account.spent.likely, last.day if last else None)
        if found != (spent, day):
            raise SystemExit(f"{account.inputs.face}: floor {(spent, day)}, account {found}")
    both = account_s + last_s
    print(  # noqa: T201
        f"{faces} faces: accounts {account_s:.2f} s, last days {last_s:.2f} s, "
        f"floor {floor_s:.2f} s, ratio {both / floor_s:.1f}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else FACES)
