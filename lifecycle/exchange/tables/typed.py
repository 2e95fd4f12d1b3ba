"""Cells to what a record holds: numbers as marked, lengths, days, yes and no. Nothing is guessed.

Each function takes a filled cell and raises ``BadCell`` with a sentence that says what to type.
"""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from lifecycle.exchange.tables.table import Cell, Kind

#: Lengths are kept in millimetres, weights in grams; a unit in the cell is obeyed.
MILLIMETRES: Final[Mapping[str, Decimal]] = MappingProxyType(
    {"": Decimal(1), "mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000)}
)
GRAMS: Final[Mapping[str, Decimal]] = MappingProxyType(
    {"": Decimal(1), "g": Decimal(1), "kg": Decimal(1000)}
)
DEGREES: Final[Mapping[str, Decimal]] = MappingProxyType({"": Decimal(1), "°": Decimal(1)})
PLAIN: Final[Mapping[str, Decimal]] = MappingProxyType({"": Decimal(1)})

_QUANTITY = re.compile(r"(?P<number>[+-]?\d[\d., \u202f']*)\s*(?P<unit>[^\W\d]*|°)\.?")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2})?)?")
_DOTTED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_WORDED = re.compile(r"(\d{1,2})\.?\s+([A-Za-z]{3,9})\.?,?\s+(\d{4})")
_MONTHS: Final = (
    *("jan", "feb", "mar", "apr", "may", "jun"),
    *("jul", "aug", "sep", "oct", "nov", "dec"),
)
_YES: Final = frozenset({"yes", "y", "true", "x", "1"})
_NO: Final = frozenset({"no", "n", "false", "0", "-"})


class BadCell(ValueError):
    """The cell can't be taken; the message says why and what to type instead."""


def text(cell: Cell, *, most: int) -> str:
    """Words as they stand, at most ``most`` letters."""
    _sound(cell)
    if len(cell.text) > most:
        raise BadCell(f"The text has {len(cell.text)} letters; {most} fit.")
    return cell.text


def identifier(cell: Cell, *, most: int = 60) -> str:
    """A number as it is marked on a thing: text, whatever it looks like.

    A whole number of a workbook is taken as it is shown. A fraction is refused, since a workbook
    drops noughts at its end, and a date, since the workbook has made it of something else.
    """
    _sound(cell)
    if cell.kind in (Kind.DAY, Kind.TIME):
        raise BadCell(
            f"The workbook has made a date of this number ({cell.text}). Make the column text "
            "and type the number as it is marked on the object."
        )
    if cell.kind is Kind.NUMBER and "." in cell.text:
        raise BadCell(
            f"The workbook holds a decimal number here ({cell.text}), so noughts at its end may "
            "be lost. Make the column text and type the number as it is marked on the object."
        )
    if cell.kind is Kind.TRUTH:
        raise BadCell("The workbook holds TRUE or FALSE here, not a number.")
    found = " ".join(cell.text.split())
    if len(found) > most:
        raise BadCell(f"The number has {len(found)} letters; {most} fit.")
    return found


def counted_in(units: Mapping[str, Decimal], unit: str) -> Mapping[str, Decimal]:
    """The same units, with numbers that name none counted in ``unit``, where that is one of them.

    >>> quantity(Cell("31.2"), counted_in(MILLIMETRES, "cm"))
    Decimal('312.0')
    """
    return units if unit not in units else {**units, "": units[unit]}


def quantity(cell: Cell, units: Mapping[str, Decimal] = PLAIN) -> Decimal:
    """A number with or without its unit, in the first unit of ``units``.

    >>> quantity(Cell("6,5 cm"), MILLIMETRES)
    Decimal('65.0')
    """
    _sound(cell)
    known = ", ".join(unit for unit in units if unit)
    if cell.kind in (Kind.DAY, Kind.TIME, Kind.TRUTH):
        raise BadCell(f"The workbook holds no number here but {cell.text}.")
    match = _QUANTITY.fullmatch(cell.text)
    if match is None:
        raise BadCell(f"“{cell.text}” is no number{f' in {known}' if known else ''}.")
    unit = match["unit"].lower()
    if unit not in units:
        raise BadCell(f"“{match['unit']}” is not a unit known here: {known or 'write none'}.")
    return _decimal(match["number"]) * units[unit]


def whole(cell: Cell, units: Mapping[str, Decimal] = PLAIN) -> int:
    """A whole number."""
    value = quantity(cell, units)
    if value != value.to_integral_value():
        raise BadCell(f"“{cell.text}” is not a whole number.")
    return int(value)


def _decimal(number: str) -> Decimal:
    """A decimal sign is a point or a comma; where it could part thousands too, ask."""
    digits = re.sub(r"[ \u202f']", "", number)
    signs = [letter for letter in digits if letter in ".,"]
    if len(set(signs)) == 2:  # 1,234.5 or 1.234,5: the last one is the decimal sign
        thousands = "," if digits.rfind(".") > digits.rfind(",") else "."
        digits = digits.replace(thousands, "")
    elif len(signs) > 1:
        digits = digits.replace(signs[0], "")
    elif signs == [","] and re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", digits):
        raise BadCell(
            f"“{number}” may be {digits.replace(',', '')} or {digits.replace(',', '.')}: "
            "write it without a comma."
        )
    try:
        return Decimal(digits.replace(",", "."))
    except ArithmeticError as bad:
        raise BadCell(f"“{number}” is no number.") from bad


def day(cell: Cell) -> date:
    """A day: 2027-03-12, 12.3.2027, 12 March 2027, or a date cell of a workbook."""
    _sound(cell)
    if cell.kind in (Kind.NUMBER, Kind.TIME, Kind.TRUTH):
        raise BadCell(f"The workbook holds no date here but {cell.text}; write it like 2027-03-12.")
    if match := _ISO.fullmatch(cell.text):
        return _date(cell, *map(int, match.groups()))
    if match := _DOTTED.fullmatch(cell.text):
        d, m, y = map(int, match.groups())
        return _date(cell, y, m, d)
    if match := _WORDED.fullmatch(cell.text):
        month = match[2].lower()[:3]
        if month in _MONTHS:
            return _date(cell, int(match[3]), _MONTHS.index(month) + 1, int(match[1]))
    if match := _SLASHED.fullmatch(cell.text):
        first, second, y = map(int, match.groups())
        if first != second and first <= 12 and second <= 12:
            raise BadCell(f"“{cell.text}” may be day or month first; write it like {y}-03-12.")
        return _date(cell, y, *((second, first) if first > 12 else (first, second)))
    raise BadCell(f"“{cell.text}” is no date; write it like 2027-03-12.")


def _date(cell: Cell, year: int, month: int, day_of_month: int) -> date:
    try:
        return date(year, month, day_of_month)
    except ValueError as bad:
        raise BadCell(f"There is no day “{cell.text}”.") from bad


def truth(cell: Cell) -> bool:
    """Yes or no."""
    _sound(cell)
    word = cell.text.casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise BadCell(f"“{cell.text}” is neither yes nor no.")


def _sound(cell: Cell) -> None:
    if cell.trouble:
        raise BadCell(cell.trouble)
