"""The plan of a gallery with its lettered reading points."""

from reportlab.lib.units import mm

from lifecycle.papers.drawing.lettered_plan import Plate, place_plates
from lifecycle.papers.fonts.catalogue import Style
from lifecycle.papers.fonts.lines import set_line, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import SMALL, Pen
from lifecycle.papers.words.blocks import LetteredPlan

LETTERS = Style(8, bold=True)


def lettered_plan(block: LetteredPlan, width: float) -> list[Piece]:
    """The drawing as wide as the page and the block's height allow, its caption below."""
    plan = block.plan
    caption = set_lines(plan.caption, SMALL, width)
    tall = min(block.height_mm * mm, width * plan.picture.height / plan.picture.width)
    height = tall + len(caption) * SMALL.line + 1.5 * mm

    def draw(pen: Pen, x: float, y: float) -> None:
        box = pen.picture(plan.picture, x, y - tall, width, tall)
        if box is not None:
            left, bottom, wide, high = box
            for plate in place_plates(plan.spots, wide, high, LETTERS.size):
                _point(pen, plate, left, bottom + high)
        pen.lines(caption, x, y - tall - 1 * mm, SMALL, width)

    return [Piece(height, draw, gap=2.5 * mm)]


def _point(pen: Pen, plate: Plate, left: float, top: float) -> None:
    """Dot, line and plate, white below black, so that they are seen on any drawing."""
    canvas = pen.canvas
    x, y = left + plate.at_x, top - plate.at_y
    middle_x, middle_y = left + plate.middle[0], top - plate.middle[1]
    for weight, grey in ((1.9, 1.0), (0.7, 0.0)):
        canvas.setStrokeGray(grey)
        canvas.setLineWidth(weight)
        canvas.line(x, y, middle_x, middle_y)
    canvas.setStrokeGray(0)
    canvas.setFillGray(1)
    canvas.setLineWidth(0.9)
    canvas.circle(x, y, 3.2, stroke=1, fill=1)
    canvas.setFillGray(0)
    canvas.circle(x, y, 1.5, stroke=0, fill=1)
    canvas.setFillGray(1)
    canvas.roundRect(
        left + plate.left, top - plate.top - plate.height, plate.width, plate.height, 2, fill=1
    )
    words = set_line(plate.label, LETTERS)
    pen.line(words, middle_x - words.width / 2, middle_y - LETTERS.size * 0.35, LETTERS)
