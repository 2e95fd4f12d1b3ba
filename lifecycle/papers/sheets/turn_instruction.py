"""Turn instruction sheet: one page on each side of one sheet, so that it stays whole."""

from lifecycle.papers.sheets.shared import cautions_of, glance_table, head_of, light_rows
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    FacePair,
    Facts,
    Heading,
    NewPage,
    ObjectBlock,
    SheetPlan,
    Signatures,
    Text,
    Ticks,
    Together,
)
from lifecycle.papers.words.turn_instruction import TurnInstructionWords


def turn_instruction_sheet(words: TurnInstructionWords) -> SheetPlan:
    """Front: what, when, who, with what, in which order. Back: feature by feature, then signed."""
    return SheetPlan(
        head_of("Turn instruction", words.institution, words.about),
        (*_front(words), NewPage(), *_back(words)),
    )


def _front(words: TurnInstructionWords) -> list[Block]:
    people = "; ".join(
        ", ".join(part for part in (person.name, person.role) if part) for person in words.people
    )
    blocks: list[Block] = [
        FacePair("Comes off", words.comes_off.face, "Goes on", words.goes_on.face),
    ]
    if words.goes_on_object is not None:
        blocks.append(Heading("A swap: another object goes on"))
        blocks.append(ObjectBlock(words.goes_on_object))
    return [
        *blocks,
        cautions_of(words.about),
        Facts(
            (
                ("Turn", f"{words.turn_no} ({words.kind})"),
                ("Exhibition", words.exhibition),
                ("Place", words.place),
                ("Day", words.planned_for),
                ("Last day", words.last_day),
                ("Days in hand", words.days_in_hand),
            ),
            columns=2,
        ),
        Facts((("Why this day", words.why_this_day),), columns=1),
        Facts(
            (
                ("Support now", words.support_now),
                ("Support next", words.support_next),
                ("Facsimile out", words.facsimile_out),
                ("Facsimile in", words.facsimile_in),
            ),
            columns=2,
        ),
        # Long words take fewer lines across the page, and the front has none to spare.
        Facts(
            (
                ("People", people or "two people are still to be named"),
                *((("Companions", "; ".join(words.companions)),) if words.companions else ()),
                ("Tools", words.tools),
                *light_rows(words.light, spent=False),
            ),
            columns=1,
        ),
        Heading("Steps"),
        *(Text(f"{number}. {step}") for number, step in enumerate(words.steps, start=1)),
        Text(words.stop_rule, bold=True),
    ]


def _captions(words: TurnInstructionWords) -> tuple[tuple[str, str], ...]:
    """Whole, across the page; one that stays is said once."""
    if words.caption_out == words.caption_in:
        return (("Caption", words.caption_out),)
    return (("Caption out", words.caption_out), ("Caption in", words.caption_in))


def _back(words: TurnInstructionWords) -> list[Block]:
    return [
        Heading("Done at the case"),
        Blanks((("Photo before", 2), ("Date", 2), ("Time begun", 2))),
        glance_table(
            f"Comes off: {words.comes_off.face.label}", words.comes_off, with_unchanged=False
        ),
        Ticks("Support", ("changed", "adjusted", "same")),
        glance_table(f"Goes on: {words.goes_on.face.label}", words.goes_on, with_unchanged=False),
        Ticks("Way up, restraint", ("landmark at top left", "tension right, no stress seen")),
        Ticks("Facsimile", ("of the face now hidden is in", "not needed")),
        Facts(_captions(words), columns=1),
        Ticks("Caption", ("swapped", "same caption")),
        Blanks((("Lux after", 2), ("UV after", 2), ("Photo after", 2), ("Time ended", 2))),
        Ticks("Anything else", ("nothing to note",), write="note"),
        Blanks((("If not done: reason", 4), ("new day", 2), ("agreed by", 3))),
        # Without a heading of their own: so they stay on the back with four features a face.
        Together((Signatures(words.people),)),
    ]
