"""What a table is once it has been read: headings, numbered lines, cells that may limp."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

#: Limits that a list of any real museum keeps; beyond them a file is a mistake or an attack.
MOST_BYTES: Final = 30_000_000
MOST_LINES: Final = 100_000
MOST_COLUMNS: Final = 400
MOST_LETTERS: Final = 32_767  # what one cell of a workbook can hold


class UnreadableTable(Exception):
    """The file can't be read as a table; the message says why and what to do, in one sentence."""


class Kind(StrEnum):
    """What the file says a cell is. A CSV knows text and empty only."""

    EMPTY = "empty"
    TEXT = "text"
    NUMBER = "number"
    DAY = "day"
    TIME = "time"
    TRUTH = "truth"
    BROKEN = "broken"  # an error value, or a formula without a stored result


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as text, with what it was in the file.

    ``text`` has no blanks around it. Days are ISO (``2027-03-12``, with ``T09:30`` when the cell
    has a time of day), truth is ``yes`` or ``no``, numbers are plain (``60.5``). ``trouble`` is a
    sentence when the cell can't be trusted whatever it is meant for, else empty.
    """

    text: str
    kind: Kind = Kind.TEXT
    trouble: str = ""

    def __bool__(self) -> bool:
        return bool(self.text or self.trouble)


EMPTY: Final = Cell("", Kind.EMPTY)


@dataclass(frozen=True, slots=True)
class Line:
    """One line below the headings; ``number`` is its row as a spreadsheet program shows it."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Headings are unique and as many as each line has cells; empty lines are left out.

    ``sheet`` is the sheet that was read (empty for CSV), ``sheets`` all that could be chosen,
    ``notes`` are sentences about the file that a person should see before trusting it.
    """

    headings: tuple[str, ...]
    lines: tuple[Line, ...]
    sheet: str = ""
    notes: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()


def column_letters(index: int) -> str:
    """The name of a column as spreadsheet programs write it; ``index`` counts from 0.

    >>> column_letters(0), column_letters(27)
    ('A', 'AB')
    """
    letters, rest = "", index + 1
    while rest:
        rest, digit = divmod(rest - 1, 26)
        letters = chr(65 + digit) + letters
    return letters
