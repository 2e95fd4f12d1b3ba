"""A list of objects asked for, pasted or uploaded: one line each, none dropped, nothing guessed."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from types import MappingProxyType
from typing import Final

from lifecycle.exchange.tables.delimited import clean_cell
from lifecycle.exchange.tables.table import Cell, Table
from lifecycle.exchange.tables.typed import BadCell, day, identifier
from lifecycle.queries.display.list_lines import FaceSaid, LineSaid

MOST_LINES: Final = 400
MOST_ALTERNATIVES: Final = 3
DOUBTFUL: Final = "?"
"""Written before a cell of a workbook that can't be trusted, so that no record answers to it."""

COLUMNS: Final = (
    "Object number",
    "Faces",
    "From",
    "To",
    "Reason",
    "Priority",
    "Alternative 1",
    "Alternative 2",
    "Alternative 3",
    "No alternative because",
)
"""What may stand in a line, in this order when it has no headings."""

_ALSO: Final[Mapping[str, str]] = MappingProxyType(
    {
        "number": "Object number",
        "object": "Object number",
        "accession number": "Object number",
        "inventory number": "Object number",
        "face": "Faces",
        "show from": "From",
        "first day": "From",
        "until": "To",
        "show to": "To",
        "last day": "To",
        "why": "Reason",
        "alternative": "Alternative 1",
        "alternatives": "Alternative 1",
        "why nothing else will do": "No alternative because",
    }
)


class UnreadableList(ValueError):
    """The list can't be read as a whole; the message says why in one sentence."""


def _folded(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


_KNOWN: Final[Mapping[str, str]] = MappingProxyType(
    {_folded(name): name for name in COLUMNS} | dict(_ALSO)
)


def text_of_table(table: Table) -> tuple[str, tuple[str, ...]]:
    """Return a table as the text a person would paste, and what should be seen about it.

    A cell the workbook has changed is marked as doubtful, so that its line asks to be looked at.
    """
    rows, notes = ["\t".join(table.headings)], list(table.notes)
    for line in table.lines:
        cells = []
        for heading, cell in zip(table.headings, line.cells, strict=True):
            text, trouble = _of_cell(_KNOWN.get(_folded(heading), ""), cell)
            if trouble:
                notes.append(f"Line {line.number}, {heading}: {trouble}")
            cells.append(text)
        rows.append("\t".join(cells))
    return "\n".join(rows), tuple(notes)


def _of_cell(column: str, cell: Cell) -> tuple[str, str]:
    text = " ".join(cell.text.split())
    if not cell:
        return "", ""
    try:
        if column == "Object number":
            return identifier(cell), ""
    except BadCell as bad:
        return f"{DOUBTFUL} {text}", str(bad)
    return (f"{DOUBTFUL} {text}", cell.trouble) if cell.trouble else (text, "")


def lines_of_text(text: str) -> list[LineSaid]:
    """Read a pasted list: one object number a line, or columns parted by tabs.

    The first line may hold headings; without them the columns stand in the order of ``COLUMNS``.

    :raises UnreadableList: nothing in it, too long, headings without an object number
    """
    rows = [
        (number, [clean_cell(cell) for cell in row.split("\t")])
        for number, row in enumerate(text.splitlines(), start=1)
    ]
    rows = [(number, cells) for number, cells in rows if any(cells)]
    if not rows:
        raise UnreadableList("The list is empty: one object number a line.")
    columns: Sequence[str] = COLUMNS
    if _folded(rows[0][1][0].text) in _KNOWN or _has_headings(rows[0][1]):
        columns = [_KNOWN.get(_folded(cell.text), cell.text) for cell in rows[0][1]]
        rows = rows[1:]
        if "Object number" not in columns:
            raise UnreadableList("No column is called “Object number”.")
        if not rows:
            raise UnreadableList("There are headings, and no line below them.")
    if len(rows) > MOST_LINES:
        raise UnreadableList(f"The list has {len(rows)} lines; ask for {MOST_LINES} at a time.")
    return [_line(number, columns, cells) for number, cells in rows]


def line_typed(number: int, typed: Mapping[str, str]) -> LineSaid:
    """Read one stored line again, from what was typed in it by column."""
    return _line(number, list(typed), [clean_cell(text) for text in typed.values()])


def _has_headings(cells: Sequence[Cell]) -> bool:
    """Whether most filled cells of the first line are words for columns."""
    filled = [_folded(cell.text) for cell in cells if cell]
    return len(filled) > 1 and sum(word in _KNOWN for word in filled) * 2 > len(filled)


def _line(number: int, columns: Sequence[str], cells: Sequence[Cell]) -> LineSaid:
    by_column: dict[str, Cell] = {}
    faults = []
    for place, cell in enumerate(cells):
        if not cell:
            continue
        if place >= len(columns):
            faults.append(f"“{cell.text}” stands in a column without a heading: take it out.")
        else:
            by_column.setdefault(columns[place], cell)

    def words(column: str) -> str:
        return by_column[column].text if column in by_column else ""

    def days(column: str) -> list[date | None]:
        found: list[date | None] = []
        for part in words(column).split(";") if words(column) else []:
            try:
                found.append(day(clean_cell(part)))
            except BadCell as bad:
                faults.append(f"{column}: {bad}")
                found.append(None)
        return found

    labels = [label.strip() for label in words("Faces").split(";") if label.strip()]
    firsts, lasts = days("From"), days("To")
    faces, first, last = list(_faces(labels, firsts, lasts, faults)), None, None
    known_first = [one for one in firsts if one is not None]
    known_last = [one for one in lasts if one is not None]
    first = min(known_first, default=None)
    last = max(known_last, default=None)
    if not words("Object number"):
        faults.append("The line has no object number.")
    named = (words(f"Alternative {one}") for one in range(1, MOST_ALTERNATIVES + 1))
    split = [one.strip() for cell in named for one in cell.split(";") if one.strip()]
    if len(split) > MOST_ALTERNATIVES:
        faults.append(f"{MOST_ALTERNATIVES} alternatives are kept; {len(split)} are named.")
    return LineSaid(
        number=number,
        typed={column: cell.text for column, cell in by_column.items()},
        object_number=words("Object number"),
        faces=tuple(faces),
        first=first,
        last=last,
        reason=words("Reason"),
        priority=_folded(words("Priority")).replace(" ", "_"),
        alternatives=tuple(split[:MOST_ALTERNATIVES]),
        no_alternative_because=words("No alternative because"),
        faults=tuple(faults),
    )


def _faces(
    labels: Sequence[str],
    firsts: Sequence[date | None],
    lasts: Sequence[date | None],
    faults: list[str],
) -> Iterator[FaceSaid]:
    """Yield the faces; several of them need days of their own, parted like the faces."""
    if len(labels) < 2:
        if len(firsts) > 1 or len(lasts) > 1:
            faults.append("Several days stand here for one face.")
        for label in labels:
            yield FaceSaid(label=label)
        return
    if not len(firsts) == len(lasts) == len(labels):
        faults.append(
            f"{len(labels)} faces are named: give each its first and last day, parted by ; in the "
            "same order."
        )
        for label in labels:
            yield FaceSaid(label=label)
        return
    for label, first, last in zip(labels, firsts, lasts, strict=True):
        yield FaceSaid(label=label, first=first, last=last)
