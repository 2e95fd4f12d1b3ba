"""Half a sheet that travels with the object: what, in which limits, until when; ticks."""

from lifecycle.papers.sheets.shared import head_of
from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cautions,
    Facts,
    SheetPlan,
    Text,
    Ticks,
    Together,
)
from lifecycle.papers.words.parts import BlockO
from lifecycle.papers.words.tickets import ImagingTicketWords, MountTicketWords

STOP = "Stop if it presses, slips or comes loose: call a conservator."


def mount_ticket_sheet(words: MountTicketWords) -> SheetPlan:
    """The mount of an object, for the faces it is made for."""
    blocks: list[Block] = [
        *_facts(
            ("Mount", f"{words.mount_no}, {words.kind}"),
            ("Faces", ", ".join(words.faces)),
            ("Maker", words.maker),
            ("Due", words.needed_by),
        ),
        *_facts(("Why then", words.because), ("Measured", words.measured), columns=1),
        *_facts(
            ("Opens to", words.widest),
            ("Angle", words.angle),
            ("Openings", words.openings),
            ("Gutter", words.gutter),
            ("Out alone", words.removable),
            ("Goes back", words.goes_back),
        ),
        # Before what may run on to a second page: nobody works from the first alone without them.
        _cautions(words.about),
        *_facts(
            ("Contact points", words.contact),
            ("Restraint", words.restraint),
            ("Materials", "; ".join(words.materials)),
            columns=1,
        ),
        # The steps stand beside the boxes that are ticked while they are followed.
        *_facts(("Fixing", "\n".join(_numbered(words.steps))), columns=1, held=1),
        Together(
            (
                Text(STOP, bold=True),
                Ticks("Object", ("measured", "tried", "returned")),
                Blanks((("photo no.", 3), ("date", 2), ("initials", 2))),
            )
        ),
    ]
    head = head_of("Mount ticket", words.institution, words.about)
    return SheetPlan(head, tuple(blocks), half=True)


def imaging_ticket_sheet(words: ImagingTicketWords) -> SheetPlan:
    """One face to be pictured for one purpose."""
    opened = f"opens to {words.widest}" if words.widest else ""
    blocks: list[Block] = [
        *_facts(
            ("Job", words.job_no),
            ("Face", words.about.face.label if words.about.face else ""),
        ),
        *_facts(
            ("Due", f"{words.due}, for {words.needed_by}"),
            ("Purpose", f"{words.purpose}: {words.because}"),
            ("By", f"{words.photographer}, photographer; {words.handler}, handler"),
            ("Limits", "; ".join(part for part in (words.limit, opened) if part)),
            ("Set up", f"{words.position}; {words.light}"),
            ("Output", f"{words.size}, {words.resolution}"),
            ("In frame", words.targets),
            columns=1,
        ),
        _cautions(words.about),
        Together(
            (
                Text(STOP, bold=True),
                Ticks("Object", ("done", "returned"), write="photo no.", least_line_mm=18),
                Blanks((("lit, min", 3), ("lx", 2), ("flashes", 3), ("lx·s each", 3))),
            )
        ),
    ]
    head = head_of("Imaging ticket", words.institution, words.about)
    return SheetPlan(head, tuple(blocks), half=True)


def _facts(*rows: tuple[str, str], columns: int = 2, held: int = 0) -> list[Block]:
    """What there is to say; half a sheet has no room for lines of nothing."""
    said = tuple(row for row in rows if row[1])
    return [Facts(said, columns=columns, held=held)] if said else []


def _cautions(about: BlockO) -> Cautions:
    """The head of half a sheet names the hazards already."""
    return Cautions("", about.cautions, sign=about.hazardous, small=True)


def _numbered(steps: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{number}. {step}" for number, step in enumerate(steps, start=1))
