"""Reading sheet: the plan, then a row a point with its photograph and room to write."""

from lifecycle.papers.sheets.shared import PENCIL
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Head,
    LetteredPlan,
    SheetPlan,
    Signatures,
    Table,
    Text,
    Ticks,
)
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.papers.words.reading_sheet import PointToRead, ReadingSheetWords

COLUMNS = (
    Column("Photo", 21, Cell.PICTURE),
    Column("Case, point", 30),
    Column("Where the sensor lies", 36),
    Column("Ceiling", 15),
    Column("Last", 27),
    Column("Lux", 22, Cell.WRITE),
    Column("UV", 20, Cell.WRITE),
    Column("Time", 20, Cell.WRITE),
)
WITHOUT_PHOTO = COLUMNS[1:]
ROW_MM, LOW_ROW_MM = 19, 11


def reading_sheet_sheet(words: ReadingSheetWords) -> SheetPlan:
    """Lamps and meter first, then plan and points; an empty line is never a zero."""
    pictured = any(one.picture is not None for one in words.points)
    blocks: list[Block] = [
        Facts((("Place", words.within), ("Short code", words.code)), columns=2),
        Text(words.lamps, bold=True),
        Cautions(words.hazard_line, words.cautions, sign=words.hazardous),
        Ticks("Lamps burn as for", ("show", "cleaning", "work", "lamps off, daylight part")),
        Blanks((("Meter", 5), ("Calibration due", 5))),
        Blanks((("Date", 4), ("Time begun", 3), ("Time ended", 3))),
        Facts((("Meters on record", "; ".join(words.meters)),), columns=1),
        *(LetteredPlan(plan) for plan in words.plans),
        *((Text(words.plan_line),) if words.plan_line else ()),
        Table(
            "",
            COLUMNS if pictured else WITHOUT_PHOTO,
            tuple(_row(one, pictured) for one in words.points),
            row_mm=ROW_MM if pictured else LOW_ROW_MM,
            pictures=tuple(one.picture for one in words.points) if pictured else (),
        ),
        Text(
            "lx; UV in µW/lm. Hold the sensor at the point, in the plane named, and do not shade "
            "it. A point that was not reached stays empty: a missing reading is not zero."
        ),
        Ticks("Anything else", ("nothing to note", "a lamp is dark, moved or new"), write="note"),
        Signatures((SignatureWords(capacity="Read by"),)),
    ]
    return SheetPlan(_head(words), tuple(blocks))


def _row(one: PointToRead, pictured: bool) -> tuple[str, ...]:
    said = f"{one.case}\n{one.point}"
    if set(one.on_plan.split()) - set(said.replace(",", " ").split()):
        said += f"\non the plan: {one.on_plan}"
    cells = (said, one.label, one.ceiling, one.last, "", "", "")
    return ("", *cells) if pictured else cells


def _head(words: ReadingSheetWords) -> Head:
    return Head(
        institution=words.institution,
        paper_name="Reading sheet",
        object_number=words.place,
        title="Light, point by point",
        hazard_line="",
        hazard_sign=False,
        pencil_line=PENCIL,
    )
