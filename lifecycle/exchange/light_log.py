"""A file of a light logger, line by line: plain columns of time and light, by a named clock.

Nothing is guessed of unit and clock: both are asked. A line that can't be right is named with its
number and left out; what it would have said is then a gap.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lifecycle.exchange.tables.table import Cell, Kind, Line, Table
from lifecycle.exchange.tables.typed import BadCell, quantity
from lifecycle.planning.logged import LUX_PER_FOOT_CANDLE
from lifecycle.planning.moments import minute_of

FACTORS: Final[Mapping[str, Decimal]] = MappingProxyType(
    {"lux": Decimal(1), "kilolux": Decimal(1000), "foot_candle": LUX_PER_FOOT_CANDLE}
)
MOST_LUX: Final = Decimal("999999.9")
MOST_UV: Final = Decimal(5000)
MOST_NAMED: Final = 200
_TENTH: Final = Decimal("0.1")
_LUX: Final = MappingProxyType({"": Decimal(1), "lx": Decimal(1), "lux": Decimal(1)})
_KILOLUX: Final = MappingProxyType({"": Decimal(1), "klx": Decimal(1), "klux": Decimal(1)})
_CANDLE: Final = MappingProxyType({"": Decimal(1), "fc": Decimal(1), "ftcd": Decimal(1)})
_IN_CELL: Final = MappingProxyType({"lux": _LUX, "kilolux": _KILOLUX, "foot_candle": _CANDLE})
_OFFSET: Final = re.compile(r"UTC([+-])(\d{2}):(\d{2})")
_ISO: Final = re.compile(
    r"(?P<y>\d{4})[-/.](?P<m>\d{1,2})[-/.](?P<d>\d{1,2})(?:[T ]+(?P<clock>\d.*))?"
)
_OTHER: Final = re.compile(
    r"(?P<a>\d{1,2})(?P<sign>[-/.])(?P<b>\d{1,2})(?P=sign)(?P<y>\d{4})(?:[T, ]+(?P<clock>\d.*))?"
)
_CLOCK: Final = re.compile(
    r"(?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<s>\d{2})(?:[.,]\d+)?)?\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
    r"\s*(?P<offset>Z|[+-]\d{2}:?\d{2})?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Which column holds what (counted from 0), in which unit, and by which clock."""

    moment: int
    lux: int
    clock: int | None = None
    uv: int | None = None
    unit: str = "lux"
    zone: str = "UTC"
    day_first: bool = True


@dataclass(frozen=True, slots=True)
class Left:
    """A line that is not taken: its number in the file, and why."""

    number: int
    why: str


@dataclass(slots=True)
class Series:
    """What has been read so far: (minute, tenths of a lux, tenths of a µW/lm or None)."""

    samples: list[tuple[int, int, int | None]] = field(default_factory=list)
    left: list[Left] = field(default_factory=list)
    left_out: int = 0

    def leave(self, number: int, why: str) -> None:
        self.left_out += 1
        if len(self.left) < MOST_NAMED:
            self.left.append(Left(number, why))

    @property
    def levels(self) -> list[tuple[int, int]]:
        """The light alone, in levels of half a deci-lux as the planning floor counts them."""
        return [(minute, 2 * tenths) for minute, tenths, _ in self.samples]


def clock_of(name: str) -> tzinfo:
    """Return a clock by its name: a zone such as Europe/London, or UTC+01:00 all the year.

    :raises ValueError: for a name that is neither
    """
    match = _OFFSET.fullmatch(name)
    if match is None:
        try:
            return ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError) as bad:
            raise ValueError(f"There is no clock called “{name}”.") from bad
    hours, minutes = int(match[2]), int(match[3])
    if hours > 14 or minutes > 59:
        raise ValueError(f"No place on earth has the clock {name}.")
    shift = timedelta(hours=hours, minutes=minutes)
    return timezone(shift if match[1] == "+" else -shift)


def suggest(table: Table) -> dict[str, int | bool | None]:
    """Return which columns look like time, light and UV, and whether days come first."""
    found: dict[str, int | None] = dict.fromkeys(("moment", "clock", "lux", "uv"))
    day_first = True
    words = [heading.casefold() for heading in table.headings]
    wanted = (
        ("uv", ("uv", "µw", "uw")),
        ("lux", ("lux", "lx", "illumin", "light", "intensity", "foot", "fc")),
        ("moment", ("date", "moment", "timestamp", "day", "time")),
        ("clock", ("time", "clock", "hour")),
    )
    for name, tokens in wanted:
        for token in tokens:
            free = [n for n, word in enumerate(words) if token in word and n not in found.values()]
            if free and found[name] is None:
                found[name] = free[0]
    at = found["moment"]
    if isinstance(at, int):
        for line in table.lines[:2000]:
            match = _OTHER.match(line.cells[at].text)
            if match and int(match["b"]) > 12:
                day_first = False
                break
        if any(":" in line.cells[at].text for line in table.lines[:1]):
            found["clock"] = None
    return {**found, "day_first": day_first}


def read_lines(lines: Iterable[Line], how: Reading, into: Series) -> None:
    """Read some lines, in the order of the file, after what was read before."""
    clock = clock_of(how.zone)
    for line in lines:
        try:
            before = into.samples[-1][0] if into.samples else None
            minute = _minute(line.cells, how, clock, before)
            _follows(minute, before)
            into.samples.append((minute, _tenths(line, how), _uv(line, how)))
        except BadCell as bad:
            into.leave(line.number, str(bad))


def _follows(minute: int, before: int | None) -> None:
    if before is None or minute > before:
        return
    what = "the same minute as" if minute == before else "an earlier time than"
    raise BadCell(f"It has {what} the line before; samples follow each other.")


def _tenths(line: Line, how: Reading) -> int:
    cell = line.cells[how.lux]
    if not cell:
        raise BadCell("No light is given.")
    value = quantity(cell, _IN_CELL[how.unit]) * FACTORS[how.unit]
    if value < 0:
        raise BadCell(f"Light can't be negative: {cell.text}.")
    if value > MOST_LUX:
        raise BadCell(f"{cell.text} is more light than the sun gives: check the unit.")
    return int((value / _TENTH).to_integral_value(rounding=ROUND_HALF_UP))


def _uv(line: Line, how: Reading) -> int | None:
    if how.uv is None or not line.cells[how.uv]:
        return None
    value = quantity(line.cells[how.uv])
    if not 0 <= value <= MOST_UV:
        raise BadCell(f"UV lies between 0 and {MOST_UV} µW/lm; {value} stands there.")
    return int((value / _TENTH).to_integral_value(rounding=ROUND_HALF_UP))


def _minute(cells: Sequence[Cell], how: Reading, clock: tzinfo, before: int | None) -> int:
    cell = cells[how.moment]
    if cell.trouble:
        raise BadCell(cell.trouble)
    day, rest = _day(cell, how.day_first)
    if how.clock is not None:
        rest = cells[how.clock].text or rest
    wall, offset = _clock(rest, cell.text)
    naive = datetime.combine(day, wall)
    if offset is not None:
        return minute_of(naive.replace(tzinfo=offset))
    first = naive.replace(tzinfo=clock)
    if first.astimezone(UTC).astimezone(clock).replace(tzinfo=None) != naive:
        raise BadCell(
            f"{naive:%Y-%m-%d %H:%M} never was on this clock (clocks were put forward): does the "
            "logger keep one time all the year?"
        )
    minute = minute_of(first)
    if before is not None and minute <= before:
        # In the hour that comes twice the second pass follows the first.
        minute = max(minute, minute_of(first.replace(fold=1)))
    return minute


def _day(cell: Cell, day_first: bool) -> tuple[date, str]:
    if cell.kind is Kind.NUMBER:
        raise BadCell(f"“{cell.text}” is a bare number, no day: format the column as date.")
    if match := _ISO.fullmatch(cell.text):
        parts = int(match["y"]), int(match["m"]), int(match["d"])
    elif match := _OTHER.fullmatch(cell.text):
        one, two = int(match["a"]), int(match["b"])
        month, day = (two, one) if day_first else (one, two)
        parts = int(match["y"]), month, day
    else:
        raise BadCell(f"“{cell.text}” is no day: write it like 2026-03-14 10:15.")
    try:
        return date(*parts), match["clock"] or ""
    except ValueError as bad:
        raise BadCell(f"There is no day “{cell.text}” with days and months this way.") from bad


def _clock(text: str, whole: str) -> tuple[time, tzinfo | None]:
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise BadCell(f"No time of day stands in “{text or whole}”.")
    hour, half = int(match["h"]), (match["half"] or "").replace(".", "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise BadCell(f"“{text}” is no time on a clock of twelve hours.")
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        wall = time(hour, int(match["min"]), int(match["s"] or 0))
    except ValueError as bad:
        raise BadCell(f"There is no time “{text}”.") from bad
    said = match["offset"]
    if not said:
        return wall, None
    if said == "Z":
        return wall, UTC
    shift = timedelta(hours=int(said[1:3]), minutes=int(said[-2:]))
    return wall, timezone(shift if said[0] == "+" else -shift)
