"""Tables whose columns are known by their headings: cells by name, faults told by name."""

import re
from collections.abc import Callable, Collection, Iterator, Mapping
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
    """The columns of one kind of table, each with what stands in it; ``needed`` it can't lack.

    ``fold`` takes away of a heading what does not count.
    """

    def __init__(
        self,
        columns: Mapping[str, str],
        *,
        needed: Collection[str],
        fold: Callable[[str], str] = folded,
    ) -> None:
        self.columns: Final = columns
        self.needed: Final = needed
        self._fold = fold
        self._named = {fold(name): name for name in columns}

    def headings(self) -> list[str]:
        """Return the headings of the table to fill in, each with its explanation."""
        return [f"{name} ({said})" for name, said in self.columns.items()]

    def missing_in(self, table: Table) -> list[str]:
        """Return the columns a table lacks and must have, in our order."""
        found = self._names_in(table)
        return [name for name in self.columns if name in self.needed and name not in found]

    def fault_of(self, table: Table) -> str:
        """Return why the table can't be read as a whole, in one sentence; empty where it can."""
        missing = self.missing_in(table)
        return f"No column is called “{missing[0]}”." if missing else ""

    def lines_of(self, table: Table) -> Iterator[tuple[int, Cells]]:
        """Yield the number of each line and its cells by the names of our columns."""
        names = self._names_in(table)
        for line in table.lines:
            yield (
                line.number,
                {name: cell for name, cell in zip(names, line.cells, strict=True) if name},
            )

    def _names_in(self, table: Table) -> list[str]:
        """Our name of each column of a table; empty for one that is none of ours."""
        return [self._named.get(self._fold(heading), "") for heading in table.headings]


def cells_typed(typed: Mapping[str, str]) -> dict[str, Cell]:
    """Return cells again from what was typed in them by column."""
    return {name: clean_cell(words) for name, words in typed.items()}


class Taking:
    """Takes values from the cells of one line; what can't be taken becomes a fault in words.

    ``needed`` are the columns that may not stay empty.
    """

    def __init__(self, cells: Cells, *, needed: Collection[str] = ()) -> None:
        self.cells, self.needed = cells, needed
        self.faults: list[str] = []

    def __call__(self, name: str, how: Callable[[Cell], T], empty: T) -> T:
        """Return the value of one cell; ``empty`` where there is none, or a bad one."""
        cell = self.cells.get(name)
        if cell is None or not cell:
            if name in self.needed:
                self.faults.append(f"{name} is empty.")
            return empty
        try:
            return how(cell)
        except BadCell as bad:
            self.faults.append(f"{name}: {bad}")
            return empty

    def typed(self) -> dict[str, str]:
        """Return what was typed, by column."""
        return {name: cell.text for name, cell in self.cells.items() if cell}
