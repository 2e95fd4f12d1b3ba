"""The object list: one row an object in the order of the hang, rows whole, heads repeated."""

from lifecycle.papers.words.blocks import (
    Block,
    Cell,
    Column,
    Facts,
    Head,
    SheetPlan,
    Table,
    Text,
)
from lifecycle.papers.words.object_list import ListedObject, ObjectListWords

COLUMNS = (
    Column("Picture", 21, Cell.PICTURE),
    Column("Number", 30),
    Column("Title, maker, date, face", 45),
    Column("Size", 33),
    Column("Place", 19),
    Column("Lender, conditions", 42),
)
ROW_MM = 22


def object_list_sheet(words: ObjectListWords) -> SheetPlan:
    """Every object with its picture; what stands in no place yet comes last and says so."""
    count = len(words.objects)
    blocks: list[Block] = [
        Facts((("Open", words.run), ("Places", words.places), ("Objects", str(count))), columns=2),
        Table(
            "",
            COLUMNS,
            tuple(_row(one) for one in words.objects),
            row_mm=ROW_MM,
            pictures=tuple(one.picture for one in words.objects),
        ),
    ]
    if words.left_out:
        blocks.append(Text(words.left_out, size=9))
    return SheetPlan(_head(words), tuple(blocks))


def _row(one: ListedObject) -> tuple[str, ...]:
    def lines(*parts: str) -> str:
        return "\n".join(part for part in parts if part)

    return (
        "",
        lines(one.exhibition_number, one.object_number),
        lines(one.title, one.maker_and_date, one.faces),
        one.size or "not measured",
        one.place or "no place yet",
        lines(one.hazards, one.lender, one.conditions),
    )


def _head(words: ObjectListWords) -> Head:
    hazardous = any(one.hazards for one in words.objects)
    told = "Some objects carry hazards: they are named in their rows." if hazardous else ""
    return Head(
        institution=words.institution,
        paper_name="Object list",
        object_number=words.short,
        title=words.title,
        hazard_line=told,
        hazard_sign=hazardous,
    )
