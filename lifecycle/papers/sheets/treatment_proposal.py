"""Treatment proposal and consent: read at a desk; decided for one version and no other."""

from lifecycle.papers.sheets.shared import cautions_of, dated_table, head_of
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cell,
    Column,
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
from lifecycle.papers.words.treatment_proposal import TreatmentProposalWords

DECISIONS = ("agree", "agree within these limits", "change asked", "refuse")
PICTURE_MM = 40
OPTIONS = (
    Column("What", 48),
    Column("Gain", 32),
    Column("Risk", 38),
    Column("Can it be undone", 28),
    Column("Hours", 14),
    Column("Cost", 18),
)
STEPS = (Column("Step", 50), Column("Where", 58), Column("Limits", 68))
MATERIALS = (
    Column("Material, grade, batch", 84),
    Column("Strength", 34),
    Column("In what", 58),
)


def treatment_proposal_sheet(words: TreatmentProposalWords) -> SheetPlan:
    """What is proposed, 'do nothing' first; then a part to decide in for each who is asked."""
    blocks = [*_proposed(words), *_asked(words)]
    head = head_of("Treatment proposal and consent", words.institution, words.about, pencil=False)
    return SheetPlan(head, tuple(blocks))


def _proposed(words: TreatmentProposalWords) -> list[Block]:
    blocks: list[Block] = [
        ObjectBlock(words.about),
        cautions_of(words.about),
        Heading(f"{words.proposal_no}, version {words.version}", words.sent),
        Text("Consent counts for this version only.", bold=True),
        Facts(
            (
                ("Why now: the aim", words.aim),
                ("State", words.state),
                ("Rests on report", words.based_on),
            ),
            columns=1,
        ),
    ]
    if words.pictures:
        columns = (Column("Picture", 70, Cell.PICTURE), Column("What it shows", 106))
        rows = tuple(("", one.caption) for one in words.pictures)
        shown = tuple(one.picture for one in words.pictures)
        blocks.append(Table("Pictures", columns, rows, row_mm=PICTURE_MM, pictures=shown))
    rows_of_options = tuple(
        (
            f"{one.what}\nrecommended" if one.chosen else one.what,
            one.gain,
            one.risk,
            one.undo,
            one.hours,
            one.cost,
        )
        for one in words.options
    )
    blocks += [
        Table("Options", OPTIONS, rows_of_options, row_mm=6),
        Facts((("Why the recommended one", words.why),), columns=1),
        Table("Steps", STEPS, words.steps, row_mm=6),
    ]
    if words.materials:
        blocks.append(Table("Materials", MATERIALS, words.materials, row_mm=6))
    else:
        blocks.append(Facts((("Materials", "none named"),), columns=1))
    for one in words.cautions:
        why = one.why or "no reason asked for"
        blocks.append(Facts((("Caution", one.warning), ("Proposed all the same", why)), columns=1))
    blocks.append(
        Facts(
            (
                ("Tests first", words.tests_first),
                ("Taken off, and where it is kept", words.removed),
                ("Effect on display", words.effect_on_display),
                ("What would make me stop and ask again", words.stop_rules),
                ("Work and days", words.work),
                ("Can be undone", words.undo),
                ("If no answer comes", words.no_answer),
            ),
            columns=1,
        )
    )
    return blocks


def _asked(words: TreatmentProposalWords) -> list[Block]:
    blocks: list[Block] = [
        Heading("Decisions", f"About version {words.version} alone; write at a desk, not near it.")
    ]
    if words.decided:
        blocks.append(dated_table("On record already", words.decided, ""))
    for role in words.needed:
        part = (
            Ticks(role, DECISIONS, name="decision"),
            Lines("Limits, or what should change and why", 2, name="limits"),
            Blanks((("counts until (date)", 3),), names=("valid_until",)),
            Ticks("Seen", (f"I have seen version {words.version}",)),
            Signatures((SignatureWords(capacity=role),)),
        )
        blocks.append(Together(part))
    proposer = SignatureWords(capacity="Proposed by", name=words.proposer, role="conservator")
    blocks.append(Together((Heading("Proposer"), Signatures((proposer,)))))
    return blocks
