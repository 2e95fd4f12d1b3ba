"""A file of colour readings: one line a reading, repeats of one visit below each other."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from lifecycle.exchange.tables.known_columns import Cells, KnownColumns, Taking
from lifecycle.exchange.tables.table import Cell, Table
from lifecycle.exchange.tables.typed import MILLIMETRES, PLAIN, BadCell, quantity, text

COLUMNS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Spot": "C1, as it is numbered on the picture",
        "Measured at": "2026-06-02 10:30, on the museum's clock",
        "L*": "0 to 100",
        "a*": "negative to green, positive to red",
        "b*": "negative to blue, positive to yellow",
        "Instrument": "its serial number",
        "Geometry": "45/0, d/8 SCI or d/8 SCE",
        "Aperture": "mm",
        "Illuminant": "D65, D50 or A",
        "Observer": "2 or 10, degrees",
        "Repeatability": "what the instrument's papers state; may stay empty",
        "Note": "may stay empty",
    }
)
NEEDED: Final = frozenset(COLUMNS) - {"Repeatability", "Note"}
#: Columns that show another kind of colour figure; they are refused by name.
OTHER_UNITS: Final = MappingProxyType(
    {
        "x": "XYZ",
        "y": "XYZ",
        "z": "XYZ",
        "r": "RGB",
        "g": "RGB",
        "c": "LCh",
        "h": "LCh",
        "u": "Luv",
        "v": "Luv",
        "hunter": "Hunter Lab",
    }
)
_GEOMETRIES: Final = MappingProxyType(
    {"450": "45_0", "045": "45_0", "d8sci": "d8_sci", "d8sce": "d8_sce"}
)


class UnreadableColours(ValueError):
    """The file can't be read as a whole; the message says why in one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourLine:
    """One line as it was typed; ``faults`` are sentences, and such a line is no reading."""

    number: int
    spot: str = ""
    measured_at: datetime | None = None
    reading: tuple[Decimal, Decimal, Decimal] | None = None
    serial: str = ""
    geometry: str = ""
    aperture_mm: Decimal = Decimal(0)
    illuminant: str = ""
    observer: str = ""
    stated_repeatability: Decimal | None = None
    note: str = ""
    faults: tuple[str, ...] = ()

    @property
    def visit(self) -> tuple[object, ...]:
        """Lines with the same visit are its repeats."""
        return (
            self.spot, self.measured_at, self.serial, self.geometry, self.aperture_mm,
            self.illuminant, self.observer,
        )  # fmt: skip


def _folded(words: str) -> str:
    return re.sub(r"[\s*_.\[\]]", "", re.split(r"[(\[]", words)[0]).casefold()


KNOWN: Final = KnownColumns(COLUMNS, needed=NEEDED, fold=_folded)
headings: Final = KNOWN.headings


def lines_of_colours(table: Table) -> list[ColourLine]:
    """Read every line.

    :raises UnreadableColours: a column is missing, or it holds another kind of colour figure
    """
    missing = KNOWN.missing_in(table)
    other = {
        OTHER_UNITS[_folded(heading)]
        for heading in table.headings
        if _folded(heading) in OTHER_UNITS
    }
    if other and set(missing) & {"L*", "a*", "b*"}:
        raise UnreadableColours(
            f"The columns are {' and '.join(sorted(other))}: let the instrument's program write "
            "CIELAB, L*, a*, b*."
        )
    if missing:
        raise UnreadableColours(
            f"{'This column is' if len(missing) == 1 else 'These columns are'} missing: "
            f"{', '.join(missing)}."
        )
    return [_read(number, cells) for number, cells in KNOWN.lines_of(table)]


def visits_of(lines: Sequence[ColourLine]) -> list[tuple[list[int], list[ColourLine]]]:
    """Group the readings of one visit, in the order of the file, each with its lines' numbers."""
    found: dict[tuple[object, ...], list[ColourLine]] = {}
    for line in lines:
        found.setdefault(line.visit, []).append(line)
    return [([one.number for one in group], group) for group in found.values()]


def _read(number: int, cells: Cells) -> ColourLine:
    take = Taking(cells, needed=NEEDED)

    def figure(name: str) -> Decimal:
        return take(name, lambda cell: quantity(cell, PLAIN), Decimal(0))

    reading = (figure("L*"), figure("a*"), figure("b*"))
    line = ColourLine(
        number=number,
        spot=take("Spot", lambda cell: text(cell, most=12).upper().replace(" ", ""), ""),
        measured_at=take("Measured at", _moment, None),
        reading=reading,
        serial=take("Instrument", lambda cell: text(cell, most=60), ""),
        geometry=take("Geometry", _geometry, ""),
        aperture_mm=take("Aperture", lambda cell: quantity(cell, MILLIMETRES), Decimal(0)),
        illuminant=take("Illuminant", _illuminant, ""),
        observer=take("Observer", _observer, ""),
        stated_repeatability=take("Repeatability", lambda cell: quantity(cell, PLAIN), None),
        note=take("Note", lambda cell: text(cell, most=240), ""),
    )
    return replace(line, faults=tuple(take.faults))


def _moment(cell: Cell) -> datetime:
    try:
        return datetime.fromisoformat(cell.text.replace(" ", "T", 1))
    except ValueError as bad:
        raise BadCell(f"“{cell.text}” is no day and time: write 2026-06-02 10:30.") from bad


def _geometry(cell: Cell) -> str:
    folded = re.sub(r"[^0-9a-z]", "", cell.text.casefold())
    if folded not in _GEOMETRIES:
        raise BadCell(f"“{cell.text}” is none of 45/0, d/8 SCI and d/8 SCE.")
    return _GEOMETRIES[folded]


def _illuminant(cell: Cell) -> str:
    if cell.text.upper() not in {"D65", "D50", "A"}:
        raise BadCell(f"“{cell.text}” is none of D65, D50 and A.")
    return cell.text.upper()


def _observer(cell: Cell) -> str:
    folded = cell.text.strip().removesuffix("°").strip()
    if folded not in {"2", "10"}:
        raise BadCell(f"“{cell.text}” is no standard observer: 2 or 10 degrees.")
    return folded
