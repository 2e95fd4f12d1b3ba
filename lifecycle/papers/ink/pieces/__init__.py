"""Each kind of block as pieces of ink, in a given width."""

from lifecycle.papers.ink.flow import Piece, new_page, together
from lifecycle.papers.ink.pieces.faces import face_pair, face_picture, object_block
from lifecycle.papers.ink.pieces.forms import blanks, lines, signatures, ticks
from lifecycle.papers.ink.pieces.plans import lettered_plan
from lifecycle.papers.ink.pieces.plots import plot
from lifecycle.papers.ink.pieces.tables import table
from lifecycle.papers.ink.pieces.texts import big, cautions, cut_line, facts, heading, text
from lifecycle.papers.words.blocks import (
    Big,
    Blanks,
    Block,
    Card,
    Cautions,
    CutLine,
    FacePair,
    FacePicture,
    Facts,
    Heading,
    LetteredPlan,
    Lines,
    NewPage,
    ObjectBlock,
    Plot,
    Signatures,
    Table,
    Text,
    Ticks,
    Together,
)


def pieces_of(block: Block, width: float) -> list[Piece]:
    """The pieces of one block, `width` points wide."""
    match block:
        case Heading():
            return heading(block, width)
        case Text():
            return text(block, width)
        case Facts():
            return facts(block, width)
        case ObjectBlock():
            return object_block(block, width)
        case Cautions():
            return cautions(block, width)
        case Ticks():
            return ticks(block, width)
        case Blanks():
            return blanks(block, width)
        case Lines():
            return lines(block, width)
        case Table():
            return table(block, width)
        case FacePicture():
            return face_picture(block, width)
        case LetteredPlan():
            return lettered_plan(block, width)
        case FacePair():
            return face_pair(block, width)
        case Plot():
            return plot(block, width)
        case Signatures():
            return signatures(block, width)
        case CutLine():
            return cut_line(block, width)
        case Big():
            return big(block, width)
        case NewPage():
            return [new_page()]
        case Card():
            raise ValueError("A label stands on no page with other blocks: see `ink.cards`.")
        case Together():
            return together([one for part in block.blocks for one in pieces_of(part, width)])
