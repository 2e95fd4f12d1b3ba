"""From rows of cells to a table: find the headings, drop what is empty, number what is left."""

from collections.abc import Iterable, Sequence

from lifecycle.exchange.tables.table import (
    EMPTY,
    MOST_COLUMNS,
    MOST_LINES,
    Cell,
    Line,
    Table,
    UnreadableTable,
    column_letters,
)

# How far down the headings may stand below a title and a date of the list.
_LOOK_FOR_HEADINGS = 10


def lay_out(
    rows: Iterable[tuple[int, Sequence[Cell]]],
    *,
    sheet: str = "",
    sheets: tuple[str, ...] = (),
    notes: Sequence[str] = (),
) -> Table:
    """Make a table of numbered rows.

    The headings are the first row with two or more filled cells, or the first filled row of a
    list with one column.
    """
    filled = [(number, cells) for number, cells in rows if any(cells)]
    if not filled:
        raise UnreadableTable("The table is empty: there is no row with anything in it.")
    if len(filled) > MOST_LINES:
        raise UnreadableTable(
            f"The table has more than {MOST_LINES:,} lines; bring it in as several tables."
        )
    said = list(notes)
    start = next(
        (n for n, (_, cells) in enumerate(filled[:_LOOK_FOR_HEADINGS]) if _breadth(cells) > 1), 0
    )
    if start:
        said.append(
            f"The headings were found in row {filled[start][0]}; what stands above is left."
        )
    width = max(_width(cells) for _, cells in filled[start:])
    if width > MOST_COLUMNS:
        raise UnreadableTable(
            f"The table has {width} columns; at most {MOST_COLUMNS} can be read. "
            "Take out the columns that are not needed."
        )
    headings, of_headings = _headings(filled[start][1], filled[start + 1 :], width)
    lines = tuple(
        Line(number, tuple(cells[:width]) + (EMPTY,) * (width - len(cells)))
        for number, cells in filled[start + 1 :]
    )
    return Table(headings, lines, sheet, tuple(said + of_headings), sheets)


def _breadth(cells: Sequence[Cell]) -> int:
    return sum(1 for cell in cells if cell)


def _width(cells: Sequence[Cell]) -> int:
    return max((n + 1 for n, cell in enumerate(cells) if cell), default=0)


def _headings(
    row: Sequence[Cell], below: Sequence[tuple[int, Sequence[Cell]]], width: int
) -> tuple[tuple[str, ...], list[str]]:
    """Give each column a name of its own: blank and doubled headings get the column's letters."""
    used = {n for _, cells in below for n, cell in enumerate(cells) if cell}
    headings: list[str] = []
    notes: list[str] = []
    seen: set[str] = set()
    for n in range(width):
        text = " ".join(row[n].text.split()) if n < len(row) else ""
        letters = column_letters(n)
        if not text:
            if n in used:
                notes.append(f"Column {letters} has no heading.")
            text = f"column {letters}"
        if text.casefold() in seen:
            notes.append(f"The heading “{text}” stands over more than one column.")
            text = f"{text} (column {letters})"
        seen.add(text.casefold())
        headings.append(text)
    return tuple(headings), notes
