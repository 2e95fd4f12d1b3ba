"""P16, P17: half a sheet that travels with the object: what, in which limits, until when; ticks."""

from lifecycle.papers.sheets.shared import cautions_of, head_of
from lifecycle.papers.words.blocks import Blanks, Block, Facts, Heading, SheetPlan, Text, Ticks
from lifecycle.papers.words.tickets import ImagingTicketWords, MountTicketWords

STOP = "Stop if anything presses, slips, catches or comes loose, and call a conservator."


def mount_ticket_sheet(words: MountTicketWords) -> SheetPlan:
    """The mount of an object, for the faces it is made for."""
    blocks: list[Block] = [
        Facts(
            (
                ("Mount", f"{words.mount_no}, {words.kind}"),
                ("Faces", ", ".join(words.faces)),
                ("Mount maker", words.maker),
                ("Due", words.needed_by),
                ("Why then", words.because),
                ("Opens at most", words.widest),
                ("Angle", words.angle),
                ("Opening left, right", words.openings),
                ("Step at the gutter", words.gutter),
                ("Measured", words.measured),
                ("Contact points", words.contact),
                ("Restraint", words.restraint),
                ("Taken out alone", words.removable),
                ("Goes back with it", words.goes_back),
                ("Materials", "\n".join(words.materials)),
            ),
            columns=1,
        ),
        *_steps(words.steps),
        cautions_of(words.about),
        Text(STOP, bold=True),
        Ticks("Object", ("measured", "tried", "returned")),
        Blanks((("photo no.", 3), ("date", 2), ("initials", 2))),
    ]
    head = head_of("Mount ticket", words.institution, words.about)
    return SheetPlan(head, tuple(blocks), half=True)


def imaging_ticket_sheet(words: ImagingTicketWords) -> SheetPlan:
    """One face to be pictured for one purpose."""
    blocks: list[Block] = [
        Facts(
            (
                ("Imaging job", words.job_no),
                ("Face", words.about.face.label if words.about.face else ""),
                ("Purpose", words.purpose),
                ("Needed because", words.because),
                ("Due", words.due),
                ("Needed by", words.needed_by),
                ("Photographer", words.photographer),
                ("Handler", words.handler),
                ("Lit at most", words.limit),
                ("Opens at most", words.widest),
                ("Set up", f"{words.position}; {words.light}"),
                ("Output", f"{words.size}, {words.resolution}"),
                ("In frame", words.targets),
            ),
            columns=1,
        ),
        cautions_of(words.about),
        Text(STOP, bold=True),
        Ticks("Object", ("done", "returned")),
        Blanks((("lit, minutes", 2), ("at, lx", 2), ("photo no.", 3))),
    ]
    head = head_of("Imaging ticket", words.institution, words.about)
    return SheetPlan(head, tuple(blocks), half=True)


def _steps(steps: tuple[str, ...]) -> list[Block]:
    if not steps:
        return []
    return [
        Heading("Fixing"),
        *(Text(f"{number}. {step}") for number, step in enumerate(steps, start=1)),
    ]
