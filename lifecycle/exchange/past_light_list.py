"""A table of past showings from old files, read line by line."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Final, TypeVar

from lifecycle.exchange.tables.delimited import clean_cell
from lifecycle.exchange.tables.table import Cell, Table
from lifecycle.exchange.tables.typed import BadCell, day, identifier, quantity, text
from lifecycle.queries.light.past_lines import PastLine

T = TypeVar("T")
_LUX: Final = MappingProxyType({"": Decimal(1), "lx": Decimal(1), "lux": Decimal(1)})
_HOURS: Final = MappingProxyType({"": Decimal(1), "h": Decimal(1)})

COLUMNS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Object number": "as on record",
        "Face": "the one that was shown; empty where there is one alone",
        "From": "first day",
        "To": "last day",
        "Lux low": "lx, at least",
        "Lux likely": "lx, probably",
        "Lux high": "lx, at most",
        "Lit hours": "hours lit in all; or leave it and fill the next",
        "Lit hours a week": "hours lit in a week",
        "Hours known from": "how the hours were come by",
        "Source": "where that stands, as: file note 1998",
    }
)


class UnreadablePast(ValueError):
    """The table can't be read as a whole; the message says why in one sentence."""


def headings() -> list[str]:
    """Return the headings of the table to fill in, each with its explanation."""
    return [f"{name} ({said})" for name, said in COLUMNS.items()]


def _folded(words: str) -> str:
    return " ".join(re.findall(r"\w+", words.split("(")[0].casefold()))


_KNOWN: Final[Mapping[str, str]] = MappingProxyType({_folded(name): name for name in COLUMNS})


def lines_of_table(table: Table) -> list[PastLine]:
    """Read every line.

    :raises UnreadablePast: without a column for the object number, or without a line
    """
    columns = [_KNOWN.get(_folded(heading), "") for heading in table.headings]
    if "Object number" not in columns:
        raise UnreadablePast("No column is called “Object number”.")
    found = []
    for line in table.lines:
        cells = {name: cell for name, cell in zip(columns, line.cells, strict=True) if name}
        if any(cells.values()):
            found.append(_read(line.number, cells))
    if not found:
        raise UnreadablePast("No line of the table says anything.")
    return found


def line_typed(number: int, typed: Mapping[str, str]) -> PastLine:
    """Read one line again, from what was typed in it by column."""
    return _read(number, {name: clean_cell(words) for name, words in typed.items()})


def _read(number: int, cells: Mapping[str, Cell]) -> PastLine:
    faults: list[str] = []

    def take(name: str, how: Callable[[Cell], T], empty: T) -> T:
        cell = cells.get(name)
        if cell is None or not cell:
            return empty
        try:
            return how(cell)
        except BadCell as bad:
            faults.append(f"{name}: {bad}")
            return empty

    object_number = take("Object number", identifier, "")
    first, last = take("From", day, None), take("To", day, None)
    lux = [
        take(f"Lux {word}", lambda cell: quantity(cell, _LUX), None)
        for word in ("low", "likely", "high")
    ]
    hours = take("Lit hours", lambda cell: quantity(cell, _HOURS), None)
    week = take("Lit hours a week", lambda cell: quantity(cell, _HOURS), None)
    known_from = take("Hours known from", lambda cell: text(cell, most=90), "")
    source = take("Source", lambda cell: text(cell, most=200), "")
    basis = known_from
    if hours is None and week is not None and first is not None and last is not None:
        days = max(0, (last - first).days + 1)
        hours = (week * days / 7).quantize(Decimal("0.1"))
        basis = f"{week} h a week for {days} days{f'; {known_from}' if known_from else ''}"
    if not faults:
        faults += _lacks(object_number, lux, hours, basis, source)
        if first is None or last is None:
            faults.append("Give the first and the last day.")
    return PastLine(
        number=number,
        typed={name: cell.text for name, cell in cells.items() if cell},
        object_number=object_number,
        face=take("Face", lambda cell: text(cell, most=80), ""),
        first=first,
        last=last,
        lux_low=lux[0],
        lux_likely=lux[1],
        lux_high=lux[2],
        hours=hours,
        hours_basis=basis,
        source=source,
        faults=tuple(faults),
    )


def _lacks(
    object_number: str,
    lux: list[Decimal | None],
    hours: Decimal | None,
    basis: str,
    source: str,
) -> list[str]:
    faults = []
    if not object_number:
        faults.append("The line has no object number.")
    known = [one for one in lux if one is not None]
    if len(known) < 3:
        faults.append("The lux is given three times: low, likely and high.")
    elif known != sorted(known):
        faults.append("Low, likely and high follow each other; correct the figures.")
    if hours is None:
        faults.append("Give the lit hours in all, or those of a week.")
    if not basis:
        faults.append("Say how the hours were come by.")
    if not source:
        faults.append("Say where that stands: file note 1998.")
    return faults
