"""P1, condition report: pre-filled first page, one page a face, last text page, running page."""

from lifecycle.papers.sheets.shared import (
    cautions_of,
    dated_table,
    face_blocks,
    full_feature_table,
    head_of,
    recorded_table,
    report_line,
)
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cell,
    Column,
    FacePicture,
    Facts,
    Heading,
    Lines,
    NewPage,
    ObjectBlock,
    SheetPlan,
    Signatures,
    Table,
    Ticks,
    Together,
)
from lifecycle.papers.words.condition_report import ConditionReportWords

RUNNING_LINES = 14
FREE_LINES = 10


def condition_report_sheet(words: ConditionReportWords) -> SheetPlan:
    """Pages in the order they are filled: object, faces, judgement, one line for each stop.

    A signed report is printed with what it says in place of the boxes.
    """
    blocks: list[Block] = [*_first_page(words)]
    for page in words.faces:
        blocks.append(NewPage())
        if words.signed:
            blocks += [
                Heading(f"Face: {page.face.label}"),
                FacePicture(page.face, page.marks, grid=page.grid),
                recorded_table("Features", page),
            ]
        else:
            blocks.append(Heading(f"Face: {page.face.label}", "Draw new features on the picture."))
            blocks += face_blocks(page, full_feature_table("Features", page))
    if not words.signed:
        blocks += [NewPage(), *_last_page(words)]
    blocks.append(Together((Heading("Signatures"), Signatures(words.signatures))))
    blocks.append(Together(tuple(_running_page())))
    return SheetPlan(head_of("Condition report", words.institution, words.about), tuple(blocks))


def _first_page(words: ConditionReportWords) -> list[Block]:
    facts: tuple[tuple[str, str], ...] = (
        ("Report kind", words.kind),
        ("Reason", words.reason),
        ("Exhibition", words.exhibition),
        ("Compared with", report_line(words.compared_with)),
        ("Materials", words.materials),
        ("Techniques", words.techniques),
        ("Sizes", "; ".join(words.sizes)),
        ("Weight", words.weight),
        ("Light allowed", words.light_allowed),
        ("Climate allowed", words.climate_allowed),
    )
    blocks: list[Block] = [
        ObjectBlock(words.about),
        cautions_of(words.about),
        Facts(facts, columns=2),
    ]
    if words.written_so_far:
        blocks.append(Heading("The report" if words.signed else "On record already"))
        blocks.append(Facts(words.written_so_far, columns=1))
    if words.signed:
        return [*blocks, dated_table("Signed on record", words.signed_by, "nobody")]
    blocks.append(Heading("Tick what you see"))
    blocks.append(Blanks((("Examined on", 3), ("at (time)", 2), ("where", 5))))
    blocks.append(Ticks("Seen as", words.seen_as))
    if words.components:
        blocks.append(Ticks("Components counted", words.components))
    blocks += [
        Ticks("Components complete", ("yes", "no:"), write="what is missing"),
        Ticks("Light used", words.lights, write="raking from (o'clock), magnified ×"),
        Ticks("Not seen", words.not_seen, write="other"),
    ]
    return blocks


def _last_page(words: ConditionReportWords) -> list[Block]:
    grades = Table(
        "Grade",
        (
            Column("", 10, Cell.TICK),
            Column("Grade", 34),
            Column("Definition", 129),
        ),
        tuple(("", one.grade, one.meaning) for one in words.grades),
        row_mm=6.6,
    )
    return [
        Heading("Judgement", "Write what is there first, then what it means; keep the two apart."),
        grades,
        Ticks("Stability", words.stabilities),
        Ticks("Fit for display", words.fits, write="limits"),
        Ticks("Fit for travel", words.fits, write="limits"),
        Ticks("Fit for handling", words.fits, write="limits"),
        Ticks("Treatment needed", ("none", "before display", "later")),
        Ticks(
            "Result against the earlier report", ("no change seen", "change seen", "cannot tell")
        ),
        Lines("Notes and recommendations", FREE_LINES),
        Ticks("Notes", ("nothing to note",)),
        Blanks((("Next check due", 1), ("because", 2))),
    ]


def _running_page() -> list[Block]:
    return [
        Heading(
            "Running page",
            "One line for each stop. No change is a tick; otherwise write the features' numbers.",
        ),
        Table(
            "",
            (
                Column("Date", 17, Cell.WRITE),
                Column("Time", 13, Cell.WRITE),
                Column("Place", 22, Cell.WRITE),
                Column("Reason", 19, Cell.WRITE),
                Column("Seen as", 18, Cell.WRITE),
                Column("no change", 9, Cell.TICK),
                Column("or features no.", 19, Cell.WRITE),
                Column("Lux", 11, Cell.WRITE),
                Column("RH %", 11, Cell.WRITE),
                Column("Name in full", 24, Cell.WRITE),
                Column("Signature", 22, Cell.WRITE),
            ),
            tuple(("",) * 11 for _ in range(RUNNING_LINES)),
            row_mm=9,
        ),
    ]
