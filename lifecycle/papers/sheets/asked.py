"""What a filled sheet can say: each box and each line of it, in the order of the paper.

Read off the same blocks that the ink is drawn from, so that a paper and the form it is read back
with can't drift apart.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cell,
    Column,
    Heading,
    Lines,
    SheetPlan,
    Signatures,
    Table,
    Ticks,
    Together,
)

#: What is typed beside a table's row has the first word of its column's head as its name.
TICK, WRITE = "tick", "write"
#: What is typed of a signature: the name, and the day and time beside it.
NAME, WHEN = "name", "when"


class How(StrEnum):
    """How an answer is given on the sheet."""

    TICKS = "ticks"
    TEXT = "text"
    LINES = "lines"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question of a sheet. ``part`` is the heading it stands under, ``row`` its table's row."""

    key: str
    part: str
    label: str
    how: How
    options: tuple[str, ...] = ()
    row: str = ""


def asked_of(plan: SheetPlan) -> tuple[Asked, ...]:
    """Every question of the sheet, top to bottom; keys are unique within it."""
    part = plan.head.paper_name
    found: list[Asked] = []
    for number, block in enumerate(_flat(plan.blocks)):
        if isinstance(block, Heading):
            part = block.text
        found += _of_block(block, part, f"b{number}")
    return tuple(found)


def _flat(blocks: Iterable[Block]) -> Iterator[Block]:
    for block in blocks:
        if isinstance(block, Together):
            yield from _flat(block.blocks)
        else:
            yield block


def _of_block(block: Block, part: str, spare: str) -> Iterator[Asked]:
    """A block without a name of its own is called by its place on the sheet."""
    match block:
        case Ticks():
            name = block.name or spare
            yield Asked(
                key=name, part=part, label=block.label, how=How.TICKS, options=block.options
            )
            if block.write:
                label = f"{block.label}: {block.write}"
                yield Asked(key=f"{name}.{WRITE}", part=part, label=label, how=How.TEXT)
        case Blanks():
            names = block.names or ("",) * len(block.fields)
            for at, ((label, _), name) in enumerate(zip(block.fields, names, strict=True)):
                yield Asked(key=name or f"{spare}.{at}", part=part, label=label, how=How.TEXT)
        case Lines():
            yield Asked(
                key=block.name or spare, part=part, label=block.label or part, how=How.LINES
            )
        case Signatures(name=name) if name:
            for at, line in enumerate(block.lines):
                for part_of, label in ((NAME, "signed by"), (WHEN, "date and time")):
                    yield Asked(
                        key=f"{name}.{at}.{part_of}",
                        part=part,
                        label=label,
                        how=How.TEXT,
                        row=line.capacity,
                    )
        case Signatures():
            for at, line in enumerate(block.lines):
                label = f"{line.capacity}: name, date and time"
                yield Asked(key=f"{spare}.{at}", part=part, label=label, how=How.TEXT)
        case Table():
            yield from _of_table(block, part, block.name or spare)


def _of_table(table: Table, part: str, name: str) -> Iterator[Asked]:
    boxes = [column.head for column in table.columns if column.cell is Cell.TICK]
    if boxes == [""]:
        options = tuple(_text(table.columns, row) for row in table.rows)
        yield Asked(key=name, part=part, label=table.title, how=How.TICKS, options=options)
        return
    writes = [column.head for column in table.columns if column.cell is Cell.WRITE]
    if not boxes and not writes:
        return
    for at, row in enumerate(table.rows, start=1):
        number = _number(table.columns, row) or str(at)
        words = f"{number} {_text(table.columns, row)}".strip()
        label = words if words != str(at) else f"Line {at}"
        if boxes:
            yield Asked(
                key=f"{name}.{number}.{TICK}",
                part=part,
                label="tick",
                how=How.TICKS,
                options=tuple(boxes),
                row=label,
            )
        for head in writes:
            key = f"{name}.{number}.{_first(head)}"
            yield Asked(key=key, part=part, label=head, how=How.TEXT, row=label)
    kinds = (Cell.TEXT, Cell.WRITE)
    filled = [
        column.head
        for column in table.columns
        if column.cell in kinds and not column.head.startswith("Last")
    ]
    for number in table.blank_rows:
        for head in filled:
            key = f"{name}.{number}.{_first(head)}"
            yield Asked(key=key, part=part, label=head, how=How.TEXT, row=f"{number}, new")


def _number(columns: tuple[Column, ...], row: tuple[str, ...]) -> str:
    return next(
        (text for column, text in zip(columns, row, strict=True) if column.cell is Cell.NUMBER), ""
    )


def _text(columns: tuple[Column, ...], row: tuple[str, ...]) -> str:
    """The first words of a row, without what stands on further lines of its cell."""
    cells = (text for column, text in zip(columns, row, strict=True) if column.cell is Cell.TEXT)
    return next(cells, "").split("\n")[0]


def _first(head: str) -> str:
    """The name of a column: the first word of its head.

    >>> _first("New size, note")
    'new'
    """
    return head.split()[0].strip(",.").lower()
