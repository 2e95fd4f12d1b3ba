"""Incident report: nothing is tidied before the photograph; what is seen, not believed."""

from lifecycle.papers.sheets.shared import PENCIL, cautions_of, dated_table, head_of
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Head,
    Heading,
    Lines,
    ObjectBlock,
    SheetPlan,
    Signatures,
    Table,
    Ticks,
    Together,
)
from lifecycle.papers.words.incident_report import IncidentReportWords
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.planning.counting import counted

#: The finder signs on the spot, the others when it is complete.
CAPACITIES = ("Found by", "Conservator", "Head of collections", "Closed by")


def incident_report_sheet(words: IncidentReportWords) -> SheetPlan:
    """What is known already, what is written on the spot, what is added later."""
    blocks = [*_known(words), *_on_the_spot(words), *_later(words)]
    return SheetPlan(_head(words), tuple(blocks))


def _head(words: IncidentReportWords) -> Head:
    if len(words.objects) == 1:
        return head_of("Incident report", words.institution, words.objects[0].about)
    numbers = "; ".join(one.about.object_number for one in words.objects)
    return Head(
        institution=words.institution,
        paper_name="Incident report",
        object_number=counted(len(words.objects), "object") if words.objects else words.place,
        title=numbers or words.kind,
        hazard_line="; ".join(dict.fromkeys(one.about.hazard_line for one in words.objects)),
        hazard_sign=any(one.about.hazardous for one in words.objects),
        handling_line="Handling: touch nothing before it is photographed, unless danger grows.",
        pencil_line=PENCIL,
    )


def _known(words: IncidentReportWords) -> list[Block]:
    facts = (
        ("Incident", f"{words.incident_no}, {words.kind}"),
        ("Place", words.place or "not stated"),
        ("Found", ", ".join(part for part in (words.found_at, words.found_by) if part)),
        ("Happened", words.happened),
        ("What is seen", words.seen),
    )
    blocks: list[Block] = [
        Heading("What is on record", "People before objects; follow the emergency plan first."),
        Facts(facts, columns=1),
    ]
    for one in words.objects:
        known = (("Last seen unchanged", one.last_seen), ("Last report", one.last_report))
        blocks.append(
            Together((ObjectBlock(one.about), cautions_of(one.about), Facts(known, columns=1)))
        )
    if not words.objects:
        blocks.append(Cautions("", words.cautions, sign=False))
    blocks.append(dated_table("Last readings in this place", words.readings, "none on record"))
    return blocks


def _on_the_spot(words: IncidentReportWords) -> list[Block]:
    told = Table(
        "Told (the lender of a loan first)",
        (
            Column("Whom", 52, Cell.NUMBER),
            Column("Name", 42, Cell.WRITE),
            Column("How", 40, Cell.WRITE),
            Column("At (date, time)", 38, Cell.WRITE),
        ),
        tuple((whom, "", "", "") for whom in words.tell),
        row_mm=7,
        name="told",
    )
    return [
        Heading("Written on the spot", "What is seen, not what is believed; leave out blame."),
        Ticks("Photographed first", ("yes", "no"), write="numbers"),
        Lines("What else is seen", 3, name="statement"),
        Ticks("Made safe", ("yes", "not yet"), name="safe"),
        Lines("How it was made safe", 1, name="made_safe"),
        Blanks((("Made safe by (name in full)", 4), ("at (date, time)", 3)), names=("", "safe_at")),
        told,
    ]


def _later(words: IncidentReportWords) -> list[Block]:
    blocks: list[Block] = [
        Heading("Added later", "Damage to each object stands in a condition report.")
    ]
    if words.made_safe:
        blocks.append(Facts((("Made safe", words.made_safe),), columns=1))
    blocks += [
        dated_table("Told, on record", words.told, "nobody yet"),
        dated_table("Statements on record", words.statements, "none yet"),
        Facts(words.outcome, columns=2),
        Lines("Cause, as far as known, and what is learned", 2, name="cause"),
        Ticks("Notes", ("nothing to note",)),
    ]
    if words.closed:
        blocks.append(Facts((("Closed", words.closed),), columns=1))
    signed = tuple(SignatureWords(capacity=one) for one in CAPACITIES)
    blocks.append(Together((Heading("Signatures"), Signatures(signed))))
    return blocks
