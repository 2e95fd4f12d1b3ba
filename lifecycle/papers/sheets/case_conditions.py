"""Case conditions sheet: cautions and limits, then what is inside, materials, openings."""

from lifecycle.papers.words.blocks import (
    Block,
    Cautions,
    Column,
    Facts,
    Head,
    Heading,
    SheetPlan,
    Table,
    Text,
)
from lifecycle.papers.words.case_conditions import CaseConditionsWords

OBJECTS = (
    Column("Object", 31),
    Column("Shown in", 40),
    Column("Light", 23),
    Column("Air", 24),
    Column("Support, glazing", 42),
    Column("Hazards", 22),
)
LAMPS = (
    Column("Lamp", 14),
    Column("Where", 48),
    Column("Kind, filter", 44),
    Column("UV", 22),
    Column("Distance", 18),
    Column("Level", 14),
    Column("Aimed at", 22),
)
OPENINGS = (Column("Day", 42), Column("For", 42), Column("Object", 98))


def case_conditions_sheet(words: CaseConditionsWords) -> SheetPlan:
    """The strictest of everything in the case, each with the object that sets it."""
    blocks: list[Block] = [
        Facts((("Case", words.within), ("Short code", words.code)), columns=2),
        Cautions(words.hazard_line, words.cautions, sign=words.hazardous),
        Heading("The case must keep"),
        Facts(
            (
                ("Light, at most", words.lux),
                ("UV, at most", words.uv),
                ("Relative humidity", words.humidity),
                ("Change in 24 h, at most", words.change),
                ("Temperature", words.temperature),
                ("Longest on show", words.weeks),
            ),
            columns=2,
        ),
        *(Text(conflict, bold=True) for conflict in words.conflicts),
    ]
    if words.not_assessed:
        blocks.append(Text(words.not_assessed, bold=True))
    blocks += [
        Table(
            "What is or will be inside",
            OBJECTS,
            tuple(
                (
                    f"{one.object_number}\n{one.title}",
                    f"{one.exhibition}\n{one.days}",
                    one.light,
                    one.air,
                    one.support,
                    one.hazards,
                )
                for one in words.objects
            ),
        ),
    ]
    if words.clauses:
        blocks.append(Heading("Asked for by lenders"))
        blocks += [Text(f"· {clause}") for clause in words.clauses]
    blocks.append(
        Heading("Materials inside the case", "common practice; what the house has tested wins")
    )
    blocks += [Text(f"· {line}") for line in words.materials]
    if words.used:
        blocks.append(Facts((("On record for this case", words.used),), columns=1))
    if words.lamps:
        lamps = tuple(
            (one.name, one.where, one.kind, one.uv, one.distance, one.level, one.aim)
            for one in words.lamps
        )
        told = "After any change the light is measured again with a dummy."
        blocks += [Heading("Lamps on record", told), Table("", LAMPS, lamps)]
    blocks.append(Heading("Hands must reach every position on these days"))
    if words.openings:
        rows = tuple((one.day, one.what, one.objects) for one in words.openings)
        blocks.append(Table("", OPENINGS, rows))
    else:
        blocks.append(Text("No day is planned yet: ask before anything is fixed for good."))
    return SheetPlan(_head(words), tuple(blocks))


def _head(words: CaseConditionsWords) -> Head:
    return Head(
        institution=words.institution,
        paper_name="Case conditions",
        object_number=words.place,
        title="For those who design, build and light the case",
        hazard_line="",
        hazard_sign=False,
    )
