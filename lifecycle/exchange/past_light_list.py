"""A table of past showings from old files, read line by line."""

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from lifecycle.exchange.tables.known_columns import Cells, KnownColumns, Taking, cells_typed
from lifecycle.exchange.tables.table import Table
from lifecycle.exchange.tables.typed import day, identifier, quantity, text
from lifecycle.planning.counting import counted
from lifecycle.queries.light.past_lines import PastLine

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


KNOWN: Final = KnownColumns(COLUMNS, needed=("Object number",))
headings: Final = KNOWN.headings


def lines_of_table(table: Table) -> list[PastLine]:
    """Read every line.

    :raises UnreadablePast: without a column for the object number, or without a line
    """
    if fault := KNOWN.fault_of(table):
        raise UnreadablePast(fault)
    found = [_read(number, cells) for number, cells in KNOWN.lines_of(table) if any(cells.values())]
    if not found:
        raise UnreadablePast("No line of the table says anything.")
    return found


def line_typed(number: int, typed: Mapping[str, str]) -> PastLine:
    """Read one line again, from what was typed in it by column."""
    return _read(number, cells_typed(typed))


def _read(number: int, cells: Cells) -> PastLine:
    take = Taking(cells)
    faults = take.faults
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
        basis = (
            f"{week} h a week for {counted(days, 'day')}{f'; {known_from}' if known_from else ''}"
        )
    if not faults:
        faults += _lacks(object_number, lux, hours, basis, source)
        if first is None or last is None:
            faults.append("Give the first and the last day.")
    return PastLine(
        number=number,
        typed=take.typed(),
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
