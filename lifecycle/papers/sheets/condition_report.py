"""Condition report: pre-filled first page, one page a face, last text page, running page."""

from lifecycle.papers.sheets.shared import (
    cautions_of,
    dated_table,
    face_blocks,
    full_feature_table,
    head_of,
    light_blocks,
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
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.process.words import CompareResult
from lifecycle.records.models.condition.words import TreatmentNeed

RESULTS = tuple(one.label for one in CompareResult)
TREATMENTS = tuple(str(one.label) for one in TreatmentNeed)
RUNNING_LINES = 14
#: The name of the lines whose hands sign the report.
SIGNED = "signed"
FREE_LINES = 10


def condition_report_sheet(words: ConditionReportWords) -> SheetPlan:
    """Pages in the order they are filled: object, faces, judgement, one line for each stop.

    A report that is signed, or whole and to be signed, has what it says in place of the boxes.
    """
    blocks: list[Block] = [*_first_page(words)]
    for number, page in enumerate(words.faces, start=1):
        blocks.append(NewPage())
        if words.settled:
            blocks += [
                Heading(f"Face: {page.face.label}"),
                FacePicture(page.face, page.marks, grid=page.grid),
                recorded_table("Features", page),
            ]
        else:
            blocks.append(Heading(f"Face: {page.face.label}", "Draw new features on the picture."))
            table = full_feature_table("Features", page, name=f"features.{number}")
            blocks += face_blocks(page, table, name=f"further.{number}")
    if not words.settled:
        blocks += [NewPage(), *_last_page(words)]
    blocks.append(Together(tuple(_signatures(words))))
    blocks.append(Together(tuple(_running_page())))
    return SheetPlan(head_of("Condition report", words.institution, words.about), tuple(blocks))


def signed_at_once(words: ConditionReportWords) -> tuple[SignatureWords, ...]:
    """The lines that sign the report itself; those of a hand-over are signed on the way."""
    return tuple(one for one in words.signatures if not one.capacity.startswith("For the "))


def _signatures(words: ConditionReportWords) -> list[Block]:
    if not words.to_sign:
        # Beside the lines to sign: on the first page it took a second one for itself.
        known = [dated_table("Signed on record", words.signed_by, "nobody")] if words.signed else []
        return [*known, Heading("Signatures"), Signatures(words.signatures)]
    first = signed_at_once(words)
    on_the_way = tuple(one for one in words.signatures if one not in first)
    stands_for = f"{words.to_sign[:5]} {words.to_sign[5:10]}"
    note = f"Signed is the text of the report with the digest {stands_for}."
    blocks: list[Block] = [Heading("Signatures", note), Signatures(first, name=SIGNED)]
    return [*blocks, Signatures(on_the_way)] if on_the_way else blocks


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
        blocks.append(Heading("The report" if words.settled else "On record already"))
        blocks.append(Facts(words.written_so_far, columns=1))
    if words.settled:
        return blocks
    blocks.append(Heading("Tick what you see"))
    blocks.append(
        Blanks((("Examined on", 3), ("at (time)", 2), ("where", 5)), names=("", "", "where"))
    )
    blocks.append(Ticks("Seen as", words.seen_as, name="seen_as"))
    if words.components:
        blocks.append(Ticks("Components counted", words.components))
    blocks += [
        Ticks("Components complete", ("yes", "no:"), write="what is missing", name="components"),
        *light_blocks(words.lights),
        Ticks("Not seen", words.not_seen, write="other", name="not_seen"),
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
        name="grade",
    )
    return [
        Heading("Judgement", "Write what is there first, then what it means; keep the two apart."),
        grades,
        Ticks("Stability", words.stabilities, name="stability"),
        Ticks("Fit for display", words.fits, write="limits", name="fit_display"),
        Ticks("Fit for travel", words.fits, write="limits", name="fit_travel"),
        Ticks("Fit for handling", words.fits, write="limits", name="fit_handling"),
        Ticks("Treatment needed", TREATMENTS, name="treatment_needed"),
        Ticks("Result against the earlier report", RESULTS, name="result"),
        Lines("Notes and recommendations", FREE_LINES, name="notes"),
        Ticks("Notes", ("nothing to note",), name="nothing_to_note"),
        Blanks((("Next check due", 1), ("because", 2)), names=("next_check_due", "")),
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
            name="running",
        ),
    ]
