"""What a sheet is laid out from: blocks that paper and screen alike know how to show.

A paper's words become a row of blocks (`lifecycle.papers.sheets`); ink draws them, and the page
that is the accessible version of the same paper writes them as HTML.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from lifecycle.papers.words.parts import (
    BlockO,
    FaceWords,
    MarkWords,
    PictureWords,
    PlanWords,
    SignatureWords,
)


@dataclass(frozen=True, slots=True)
class Heading:
    text: str
    note: str = ""
    kind: str = "heading"


@dataclass(frozen=True, slots=True)
class Text:
    text: str
    bold: bool = False
    size: float = 10
    kind: str = "text"


@dataclass(frozen=True, slots=True)
class Facts:
    """Pairs of label and value in one or two columns; an empty value is printed as a dash.

    The last ``held`` lines stand on the page of what follows.
    """

    rows: tuple[tuple[str, str], ...]
    columns: int = 2
    held: int = 0
    kind: str = "facts"


@dataclass(frozen=True, slots=True)
class ObjectBlock:
    """Block O in full."""

    about: BlockO
    kind: str = "object"


@dataclass(frozen=True, slots=True)
class Cautions:
    """Hazards and what to do about them, framed, in words, with a drawn sign.

    ``small`` on half a sheet, where they would push the work itself overleaf.
    """

    hazard_line: str
    lines: tuple[str, ...]
    sign: bool = True
    small: bool = False
    kind: str = "cautions"


@dataclass(frozen=True, slots=True)
class Ticks:
    """A question with boxes of 5 mm; `write` is a label with a line after the boxes.

    The line is ``least_line_mm`` long or longer; where it has no room it stands below the boxes.

    ``name`` says to which field of the record the answer belongs when the sheet is read back; so
    do the names of the other blocks that are filled by hand.
    """

    label: str
    options: tuple[str, ...]
    write: str = ""
    name: str = ""
    least_line_mm: float = 38
    kind: str = "ticks"


@dataclass(frozen=True, slots=True)
class Blanks:
    """Short things to write, each a label with a line; the figure is the share of the width."""

    fields: tuple[tuple[str, float], ...]
    names: tuple[str, ...] = ()
    kind: str = "blanks"


@dataclass(frozen=True, slots=True)
class Lines:
    """Writing lines of 8 mm."""

    label: str
    count: int
    name: str = ""
    kind: str = "lines"


class Cell(StrEnum):
    TEXT = "text"
    NUMBER = "number"
    TICK = "tick"
    PICTURE = "picture"
    WRITE = "write"


@dataclass(frozen=True, slots=True)
class Column:
    """Head, what its cells hold, and its share of the width."""

    head: str
    share: float
    cell: Cell = Cell.TEXT


@dataclass(frozen=True, slots=True)
class Table:
    """Rows that never break inside; heads repeat. `blank_rows` are names of empty rows to fill.

    ``pictures`` holds one for each row, drawn in its cell of the kind picture.
    """

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    blank_rows: tuple[str, ...] = ()
    row_mm: float = 8
    pictures: tuple[PictureWords | None, ...] = ()
    name: str = ""
    kind: str = "table"


@dataclass(frozen=True, slots=True)
class FacePicture:
    """A face as wide as the page, with the 3 by 3 grid A1 to C3 and its numbered features."""

    face: FaceWords
    marks: tuple[MarkWords, ...]
    height_mm: float = 105
    kind: str = "face_picture"
    grid: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class LetteredPlan:
    """The plan of a gallery as wide as the page, with its lettered reading points.

    It is drawn smaller than ``height_mm``, down to ``least_mm``, where that saves a page.
    """

    plan: PlanWords
    height_mm: float = 118
    kind: str = "plan"
    least_mm: float = 72


@dataclass(frozen=True, slots=True)
class FacePair:
    """Two faces side by side: comes off, goes on; or one face before and after.

    A pair with a ``least_mm`` may be drawn smaller, down to that, where pages come out fuller.
    """

    left_title: str
    left: FaceWords
    right_title: str
    right: FaceWords
    kind: str = "face_pair"
    height_mm: float = 33
    arrow: bool = True
    least_mm: float = 0


@dataclass(frozen=True, slots=True)
class PlotPoint:
    """A day and the dose in its window [lx·h]; what is promised lies ahead."""

    day: date
    lx_h: int
    promised: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """The dose by date with its limit [lx·h]; ``hatched`` are days charged without a reading.

    It is drawn smaller than ``height_mm``, down to ``least_mm``, where that saves a page.
    """

    title: str
    summary: str
    points: tuple[PlotPoint, ...]
    limit: int
    today: date
    hatched: tuple[tuple[date, date], ...] = ()
    height_mm: float = 50
    least_mm: float = 30
    kind: str = "plot"


@dataclass(frozen=True, slots=True)
class Signatures:
    """Printed name, role, signature, date and time, for each line.

    With a ``name`` each line is read back as who signed it and when.
    """

    lines: tuple[SignatureWords, ...]
    name: str = ""
    kind: str = "signatures"


@dataclass(frozen=True, slots=True)
class CutLine:
    text: str
    kind: str = "cut"


@dataclass(frozen=True, slots=True)
class Big:
    """An object number to be read from across the room: 24 pt, with the sign of how it is held.

    ``orientation`` is the closed list's value; 'any' draws no sign.
    """

    text: str
    size: float = 24
    orientation: str = "any"
    kind: str = "big"


@dataclass(frozen=True, slots=True)
class NewPage:
    kind: str = "new_page"


@dataclass(frozen=True, slots=True)
class Card:
    """A label that is cut out, or printed on card of its own size [mm].

    What does not fit goes on to a further card of the same size with the same number: nothing is
    left out, hazards least of all. ``number`` is set as large as it fits, at most in
    ``number_size`` points, in the face of numbers unless it is a ``word``; ``rows`` are labels with
    their values, ``lines`` whole sentences. They are set in ``text_size`` points, smaller only
    where one card can't hold them, and never below ``least_size``.
    """

    name: str
    width_mm: float
    height_mm: float
    number: str
    number_size: float = 18
    word: bool = False
    text_size: int = 9
    least_size: int = 9
    title: str = ""
    hazard_line: str = ""
    hazard_sign: bool = False
    orientation: str = "any"
    orientation_words: str = ""
    rows: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    foot: str = ""
    picture: PictureWords | None = None
    qr_mm: float = 18
    kind: str = "card"


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that stay on one page."""

    blocks: tuple["Block", ...]
    kind: str = "together"


Block = (
    Heading
    | Text
    | Facts
    | ObjectBlock
    | Cautions
    | Ticks
    | Blanks
    | Lines
    | Table
    | FacePicture
    | LetteredPlan
    | FacePair
    | Plot
    | Signatures
    | CutLine
    | Big
    | NewPage
    | Card
    | Together
)


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the head of every page; a paper about no one object leaves the rest out."""

    institution: str
    paper_name: str
    object_number: str
    title: str
    hazard_line: str
    hazard_sign: bool
    exhibition_number: str = ""
    face_label: str = ""
    picture: PictureWords | None = None
    handling_line: str = ""
    orientation: str = "any"
    orientation_words: str = ""
    pencil_line: str = ""


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """A whole paper before ink: its head and its blocks in order.

    ``half``: it is drawn on half of the sheet that was chosen (A5 of A4), since it travels along.
    """

    head: Head
    blocks: tuple[Block, ...]
    half: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What ties the paper to its record and its print; stands at the foot and in the QR code."""

    record_no: str
    version: int
    digest: str
    print_no: str
    code: str
    address: str
    printed_at: str
    printed_by: str
    copy: str

    @property
    def digest_words(self) -> str:
        """First ten characters of the SHA-256, in groups of five."""
        return f"{self.digest[:5]} {self.digest[5:10]}"
