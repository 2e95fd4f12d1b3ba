"""Treatment report: read at a desk, kept with the object for decades."""

from lifecycle.papers.sheets.shared import cautions_of, dated_table, head_of, report_line
from lifecycle.papers.words.blocks import (
    Block,
    Column,
    FacePair,
    Facts,
    Heading,
    Lines,
    ObjectBlock,
    SheetPlan,
    Signatures,
    Table,
    Text,
    Ticks,
    Together,
)
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.papers.words.treatment_report import BeforeAfterWords, TreatmentReportWords

#: A picture is as wide as half a page allows, and no taller than this.
PAIR_MM, HALF_PAGE_MM = 78.0, 82.0
#: What can still be judged on paper; the files themselves are on record.
LEAST_PAIR_MM = 45.0
HELD_WITH_SIGNATURES = 3
#: The names of what is filled in by hand.
READ_AGAINST_LOG, PUT_RIGHT, SIGNED = "read", "remarks", "signed"
NOTHING_TO_ADD, SEE_LINES = "nothing to add", "see the lines"


def treatment_report_sheet(words: TreatmentReportWords) -> SheetPlan:
    """Object and consent, state, steps in order, materials, advice, pictures, signatures."""
    blocks: list[Block] = [
        ObjectBlock(words.about),
        cautions_of(words.about),
        Facts(_head(words), columns=1),
        dated_table("Consents, with their limits", words.consents, "none on record"),
        Heading("State before and after", "What was seen; the reports named above have all of it."),
        _features(words),
        *_pictures(words),
        Heading("What was done"),
        Facts((("In plain words", words.summary),), columns=1),
        _steps(words),
        Facts((("Hours at the bench", words.hours),), columns=1),
        dated_table("Otherwise than consented", words.deviations, "nothing"),
        dated_table("Found during treatment", words.findings, "nothing"),
        dated_table("Removed", words.removed, "nothing"),
    ]
    if words.removed_kept_where:
        blocks.append(Facts((("Where it is kept", words.removed_kept_where),), columns=1))
    blocks += [
        Heading("Materials"),
        _materials(words),
        Heading("For whoever looks after it"),
        # Nobody signs a page that says nothing but who signs.
        Facts(_advice(words), columns=1, held=HELD_WITH_SIGNATURES),
        _end(words),
    ]
    return SheetPlan(
        head_of("Treatment report", words.institution, words.about, pencil=not words.signed),
        tuple(blocks),
    )


def _pictures(words: TreatmentReportWords) -> list[Block]:
    blocks: list[Block] = [Heading("Before and after, in the same light")]
    for pair in words.pairs:
        beside = FacePair(
            f"Before, {pair.before_at}",
            pair.before,
            f"After, {pair.after_at}",
            pair.after,
            height_mm=_pair_mm(pair),
            arrow=False,
            least_mm=LEAST_PAIR_MM,
        )
        light = Text(f"{pair.before.label}, {pair.light}", bold=True)
        blocks.append(Together((light, beside)))
    if words.not_pictured or not words.pairs:
        left_out = words.not_pictured or "no pictures were put side by side yet"
        blocks.append(Facts((("Not pictured", left_out),), columns=1))
    return blocks


def _pair_mm(pair: BeforeAfterWords) -> float:
    """As tall as the taller picture stands when it fills its half of the page."""
    pictures = [face.picture for face in (pair.before, pair.after) if face.picture is not None]
    tallest = max((one.height / one.width for one in pictures), default=1.0)
    return min(PAIR_MM, HALF_PAGE_MM * tallest)


def _head(words: TreatmentReportWords) -> tuple[tuple[str, str], ...]:
    rows = [
        ("Report on", f"{words.proposal_no}, version {words.version} of the report"),
        ("Exhibition", words.exhibition or "none"),
        ("State before", report_line(words.based_on)),
        ("State after", report_line(words.after_check)),
    ]
    if words.corrects:
        rows.insert(1, ("Corrects", words.corrects))
    return tuple(rows)


def _features(words: TreatmentReportWords) -> Block:
    if not words.features:
        return Facts((("Findings", "none is on record in either report"),), columns=1)
    columns = (
        Column("No.", 11),
        Column("What, where", 46),
        Column("Before", 58),
        Column("After", 58),
    )
    rows = tuple(
        (one.name, f"{one.what}\n{one.where}", one.before, one.after) for one in words.features
    )
    return Table("", columns, rows, row_mm=5)


def _steps(words: TreatmentReportWords) -> Block:
    if not words.steps:
        return Facts((("Steps", "none logged"),), columns=1)
    columns = (
        Column("No.", 9),
        Column("When, who", 36),
        Column("Step, where, with what", 54),
        Column("What came of it", 60),
        Column("Under", 14),
    )
    rows = tuple(
        (
            str(one.number),
            f"{one.when}\n{one.who}",
            "\n".join(part for part in (one.what, one.where, one.with_what) if part),
            one.result,
            one.under,
        )
        for one in words.steps
    )
    return Table("Steps in the order they were done", columns, rows, row_mm=5)


def _materials(words: TreatmentReportWords) -> Block:
    if not words.materials:
        return Facts((("Materials", "none is named in the log"),), columns=1)
    columns = (
        Column("Material, grade, batch", 58),
        Column("As used", 44),
        Column("What it is, in plain words", 72),
    )
    rows = tuple((one.name, one.used, one.plain) for one in words.materials)
    return Table("", columns, rows, row_mm=5)


def _advice(words: TreatmentReportWords) -> tuple[tuple[str, str], ...]:
    return (
        ("How it can be taken off again", words.take_off or "nothing was put on"),
        ("Left undone, and why", words.not_done),
        ("Remaining risks", words.remaining_risks),
        ("Handling and display", words.advice_use),
        ("Housing", words.advice_housing),
        ("Look again on", words.call_back or "no day is set"),
    )


def lines_to_sign(words: TreatmentReportWords) -> tuple[SignatureWords, ...]:
    """The lines of the sheet that wait for a hand, top to bottom."""
    return words.still_to_sign if words.signed else words.signatures


def _end(words: TreatmentReportWords) -> Block:
    blocks: list[Block] = [Heading("Signatures")]
    if words.signed:
        blocks.append(dated_table("Signed on record", words.signed_by, "nobody"))
    if lines := lines_to_sign(words):
        blocks.append(Signatures(lines, name=SIGNED))
    if not words.signed:
        blocks = [
            Ticks("Read against the log", (NOTHING_TO_ADD, SEE_LINES), name=READ_AGAINST_LOG),
            Lines("What is to be put right", 3, name=PUT_RIGHT),
            *blocks,
        ]
    return Together(tuple(blocks))
