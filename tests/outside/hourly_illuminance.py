"""Run as a program: a year of hourly illuminance, added up by the light account.

``python -m tests.outside.hourly_illuminance PATH`` reads two typical years (TMY3) that ship inside
the wheel of pvlib 0.16.1 (BSD-3), 703165TY.csv and 723170TYA.CSV; PATH is that wheel, fetched with
``pip download --no-deps pvlib``. They are outdoor data; only the adding up is tried on them.

The year's sums of the first, 88,816,514 lx·h in 4,343 lit hours, were added up apart from this
project's code. The header of both says lx, but the second is kept in hundreds of lux: a real unit
trap. Read as the file of a logger, it is asked about where the other's light was read by hand.
"""

import csv
import io
import sys
import zipfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal

from lifecycle.planning.account import account_of
from lifecycle.planning.exposure import Stay
from lifecycle.planning.ledger import FaceInputs
from lifecycle.planning.levels import LightChange, Position, Reading
from lifecycle.planning.lit_hours import Purpose, Timetable, WeeklySpan
from lifecycle.planning.logged import Logged, unit_doubt, usual_lit_lux
from lifecycle.planning.moments import minute_of
from lifecycle.planning.quantities import exact_lx_h, level_of

COLUMN = "GH illum (lx)"
BEGINS = datetime(2026, 1, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)
ALWAYS = Timetable(
    name="always lit",
    spans=tuple(
        WeeklySpan(weekday=day, purpose=Purpose.PUBLIC, starts=0, ends=1_440) for day in range(7)
    ),
)


@dataclass(frozen=True, slots=True)
class Year:
    """One file: its mean illuminance hour by hour [as the file has it]."""

    name: str
    hours: tuple[int, ...]


def year_of(wheel: zipfile.ZipFile, name: str) -> Year:
    text = io.TextIOWrapper(wheel.open(f"pvlib/data/{name}"), "latin-1")
    next(text)
    rows = csv.DictReader(text)
    return Year(name, tuple(int(float(row[COLUMN])) for row in rows))


def added_up(year: Year, *, held: bool) -> tuple[Decimal, int]:
    """The year's dose [lx·h] as an account adds it up, and its lit hours.

    :param held: each value holds for its hour (a known event at each); else the mean of each two,
        which comes to the same when the year begins and ends in the dark
    """
    moments = [BEGINS + n * HOUR for n in range(len(year.hours) + 1)]
    values = [*year.hours, year.hours[-1]]
    readings = tuple(
        Reading(at=at, level=level_of(lux)) for at, lux in zip(moments, values, strict=True)
    )
    events = tuple(LightChange(first=at, last=at) for at in moments[1:]) if held else ()
    position = Position(ref="", label="", timetable=ALWAYS, readings=readings, events=events)
    until = BEGINS + len(year.hours) * HOUR
    stay = Stay(position=position, since=BEGINS, until=until)
    account = account_of(FaceInputs(face=year.name, zone="UTC", at=until, stays=(stay,)))
    (line,) = account.lines
    lit = sum(part.lit_minutes for part in line.parts if part.dose.likely) // 60
    total = exact_lx_h(account.lifetime.likely)
    return Decimal(total.numerator) / total.denominator, lit


def logged(year: Year) -> Logged:
    """The year as a logger's series, a sample on each hour."""
    first = minute_of(BEGINS)
    samples = tuple((first + 60 * n, level_of(lux)) for n, lux in enumerate(year.hours))
    return Logged(samples=samples, interval=60)


def must(holds: bool, text: str) -> None:
    if not holds:
        raise SystemExit(text)


def main(path: str) -> None:
    with zipfile.ZipFile(path) as wheel:
        north, trap = (year_of(wheel, name) for name in ("703165TY.csv", "723170TYA.CSV"))
    held, lit = added_up(north, held=True)
    must(held == 88_816_514, f"{north.name}: {held} lx·h")
    must(lit == 4_343, f"{north.name}: {lit} lit hours")
    means, _ = added_up(north, held=False)
    must(means == held, f"{north.name}: {means} lx·h by means of two")
    must(exact_lx_h(logged(north).total) == held, f"{north.name}: by trapezia of a logger")
    low, _ = added_up(trap, held=True)
    must(low == 1_682_424, f"{trap.name}: {low}")
    must(max(trap.hours) < 2_000 < max(north.hours), "the unit trap is not where it was")
    read = usual_lit_lux(logged(north).samples)
    must(not unit_doubt(logged(north).samples, read), "the right unit is doubted")
    must("unit right" in unit_doubt(logged(trap).samples, read), "the wrong unit is not doubted")
    print(  # noqa: T201
        f"{north.name}: {held:,} lx·h in {lit:,} lit hours; {trap.name}: {low:,} of a hundred lx·h"
    )


if __name__ == "__main__":
    main(sys.argv[1])
