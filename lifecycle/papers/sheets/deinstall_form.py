"""De-install condition form: part A as found in the gallery, part B at the bench."""

from lifecycle.papers.sheets.condition_report import RESULTS
from lifecycle.papers.sheets.shared import (
    cautions_of,
    dated_table,
    face_blocks,
    full_feature_table,
    glance_table,
    head_of,
    light_blocks,
    light_rows,
    report_line,
)
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Facts,
    Heading,
    Lines,
    NewPage,
    ObjectBlock,
    SheetPlan,
    Signatures,
    Text,
    Ticks,
    Together,
)
from lifecycle.papers.words.deinstall_form import DeinstallFormWords

PESTS = ("no dust", "dust", "no insects", "insects")


def deinstall_form_sheet(words: DeinstallFormWords) -> SheetPlan:
    """Known facts, part A, one page for each face, part B."""
    blocks = [*_known(words), NewPage(), *_part_a(words)]
    for number, page in enumerate(words.faces, start=1):
        shown = " (on show)" if page.face.label == words.shown_face else ""
        blocks += [
            NewPage(),
            Heading(
                f"Part B, face: {page.face.label}{shown}",
                "At the bench, under the lights of the baseline. Draw new features on the picture.",
            ),
            *face_blocks(
                page,
                full_feature_table(
                    "Every known feature", page, with_unchanged=True, name=f"b_features.{number}"
                ),
                name=f"b_further.{number}",
            ),
        ]
    blocks += [NewPage(), *_part_b(words)]
    return SheetPlan(
        head_of("De-install condition form", words.institution, words.about), tuple(blocks)
    )


def _known(words: DeinstallFormWords) -> list[Block]:
    short = (
        ("Showing", words.showing_no),
        ("Face on show", words.shown_face),
        ("On display since", words.on_display_since),
        ("Companions", "; ".join(words.companions) or "none named"),
    )
    facts = (
        ("Exhibition", words.exhibition),
        ("Place", words.place),
        ("Baseline report", report_line(words.baseline)),
        ("Last in-display report", report_line(words.last_in_display)),
        *light_rows(words.light),
        ("Due", "; ".join(f"{one.when}: {one.what}" for one in words.due) or "nothing"),
    )
    return [
        ObjectBlock(words.about),
        cautions_of(words.about),
        Facts(short, columns=2),
        Facts(facts, columns=1),
        dated_table(
            "Light events, case openings and incidents since install",
            words.events,
            "none on record",
        ),
    ]


def _part_a(words: DeinstallFormWords) -> list[Block]:
    blocks: list[Block] = [
        Heading(
            "Part A, in the gallery, as found",
            "Before anything is moved. One tray, one object, one sheet. Do not grade here.",
        ),
        Blanks((("Date", 2), ("Time", 2), ("Lamps off at", 3), ("Last lux", 2), ("at point", 2))),
        Ticks("As found", ("as placed", "slipped"), write="how", name="a_found"),
        Ticks("Photograph as found", ("taken",), write="number"),
        Ticks("Dust and insects", PESTS, write="trap count", name="a_pests"),
        Ticks("Mount", ("left in place", "taken with the object")),
        Ticks("Facsimile", ("none shown", "taken out", "left in place")),
    ]
    for page in words.faces:
        if page.face.label == words.shown_face:
            title = f"Known features at a glance, face {page.face.label}"
            blocks.append(glance_table(title, page, name="a_glance"))
    blocks += [
        Ticks("Anything else", ("nothing to note",), write="note", name="a_note"),
        Blanks((("Handed to (name in full)", 4), ("for", 2), ("at (time)", 2))),
        Together((Heading("Signatures, part A"), Signatures(words.signatures_a))),
    ]
    return blocks


def _part_b(words: DeinstallFormWords) -> list[Block]:
    lender = (
        Blanks((("Lender told at", 2), ("how", 2), ("by", 3)))
        if words.lender
        else Text("Owner: the museum. No lender has to be told.")
    )
    return [
        Heading("Part B, at the bench", "Compared with " + report_line(words.baseline) + "."),
        Blanks((("Date", 2), ("Time", 2), ("where", 4))),
        *light_blocks(words.lights, part="b_"),
        Ticks("Not seen", words.not_seen, write="other", name="b_not_seen"),
        Ticks("Result", RESULTS, name="b_result"),
        Ticks("Next step", words.next_steps, name="b_next_step"),
        lender,
        Lines("What changed, and what it means", 5, name="b_notes"),
        Ticks("Notes", ("nothing to note",)),
        Together((Heading("Signatures, part B"), Signatures(words.signatures_b))),
    ]
