"""Tables whose columns are known by their headings: cells by name, faults told by name."""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Final, TypeVar

from lifecycle.exchange.tables.delimited import clean_cell
from lifecycle.exchange.tables.table import Cell, Table
from lifecycle.exchange.tables.typed import BadCell

T = TypeVar("T")
Cells = Mapping[str, Cell]


def folded(words: str) -> str:
    """A heading or a cell without what does not count: capitals, signs, what stands in brackets.

    >>> folded("Object  number (as on record)")
    'object number'
    """
    return " ".join(re.findall(r"\w+", words.split("(")[0].casefold()))


class KnownColumns:
    """The columns of one kind of table, each with what stands in it; one of them it can't lack."""

    def __init__(self, columns: Mapping[str, str], *, needed: str) -> None:
        self.columns: Final = columns
        self.needed: Final = needed
        self._named = {folded(name): name for name in columns}

    def headings(self) -> list[str]:
        """Return the headings of the table to fill in, each with its explanation."""
        return [f"{name} ({said})" for name, said in self.columns.items()]

    def fault_of(self, table: Table) -> str:
        """Return why the table can't be read as a whole, in one sentence; empty where it can."""
        found = {self._named.get(folded(heading)) for heading in table.headings}
        return "" if self.needed in found else f"No column is called “{self.needed}”."

    def lines_of(self, table: Table) -> Iterator[tuple[int, Cells]]:
        """Yield the number of each line and its cells by the names of our columns."""
        names = [self._named.get(folded(heading), "") for heading in table.headings]
        for line in table.lines:
            yield (
                line.number,
                {name: cell for name, cell in zip(names, line.cells, strict=True) if name},
            )


def cells_typed(typed: Mapping[str, str]) -> dict[str, Cell]:
    """Return cells again from what was typed in them by column."""
    return {name: clean_cell(words) for name, words in typed.items()}


class Taking:
    """Takes values from the cells of one line; what can't be taken becomes a fault in words."""

    def __init__(self, cells: Cells) -> None:
        self.cells = cells
        self.faults: list[str] = []

    def __call__(self, name: str, how: Callable[[Cell], T], empty: T) -> T:
        """Return the value of one cell; ``empty`` where there is none, or a bad one."""
        cell = self.cells.get(name)
        if cell is None or not cell:
            return empty
        try:
            return how(cell)
        except BadCell as bad:
            self.faults.append(f"{name}: {bad}")
            return empty

    def typed(self) -> dict[str, str]:
        """Return what was typed, by column."""
        return {name: cell.text for name, cell in self.cells.items() if cell}
