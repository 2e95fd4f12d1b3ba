"""Block O, the numbered picture of a face, and two faces side by side."""

from math import hypot

from reportlab.lib.units import mm

from lifecycle.papers.drawing.numbered_picture import WHOLE, place_badges
from lifecycle.papers.fonts.catalogue import Style
from lifecycle.papers.fonts.lines import fit, set_line, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import BODY, BOLD, HEADING, SMALL, SMALL_BOLD, Pen
from lifecycle.papers.ink.pieces.texts import facts
from lifecycle.papers.ink.signs import orientation_sign
from lifecycle.papers.words.blocks import FacePair, FacePicture, Facts, ObjectBlock
from lifecycle.papers.words.parts import FaceWords, MarkWords
from lifecycle.science.shapes import COLUMNS, ROWS, Frame

BADGE = Style(9, bold=True)
BADGE_RADIUS = 3.1 * mm
OBJECT_PICTURE = 26 * mm
OBJECT_NUMBER = Style(14, bold=True, mono=True)


def object_block(block: ObjectBlock, width: float) -> list[Piece]:
    """Block O: number, title, maker, type, owner, face and picture; signs with their words."""
    about = block.about
    picture = about.face.picture if about.face else None
    room = width - (OBJECT_PICTURE + 4 * mm if picture else 0)
    number = set_lines(about.object_number, OBJECT_NUMBER, room)
    title = set_lines(about.title, BOLD, room)
    maker = ", ".join(part for part in (about.maker, about.date_text) if part)
    face = about.face
    shown = (("Face", f"{face.label}. {face.top_left}"),) if face else ()
    pairs = [
        *facts(Facts((("Maker, date", maker), *shown), columns=1), room),
        *facts(
            Facts(
                (
                    ("Exhibition no.", about.exhibition_number),
                    ("Object type", about.object_type),
                    ("Owner", about.owner),
                    ("Orientation", about.orientation_words),
                )
            ),
            room,
        ),
    ]
    text_height = (
        len(number) * OBJECT_NUMBER.line
        + len(title) * BOLD.line
        + 1 * mm
        + sum(one.height + one.gap for one in pairs)
    )
    height = max(text_height, OBJECT_PICTURE + 1 * mm if picture else 0)

    def draw(pen: Pen, x: float, y: float) -> None:
        at = y
        pen.lines(number, x, at, OBJECT_NUMBER, room)
        at -= len(number) * OBJECT_NUMBER.line
        pen.lines(title, x, at, BOLD, room)
        at -= len(title) * BOLD.line + 1 * mm
        for piece in pairs:
            piece.draw(pen, x, at)
            at -= piece.height + piece.gap
        left = x + width - OBJECT_PICTURE
        pen.picture(picture, left, y - OBJECT_PICTURE, OBJECT_PICTURE, OBJECT_PICTURE)
        if about.orientation != "any":
            wide = set_line(about.object_number, OBJECT_NUMBER).width if len(number) == 1 else 0
            if wide:
                sign = x + wide + 3 * mm
                orientation_sign(pen.canvas, about.orientation, sign, y - 5.6 * mm, 5 * mm)

    return [Piece(height, draw, gap=2 * mm)]


def face_picture(block: FacePicture, width: float) -> list[Piece]:
    """The picture as wide as the page allows, grid names outside it, numbers on it."""
    caption = set_lines(f"{block.face.label}. {block.face.top_left}", SMALL, width)
    gutter = 6 * mm
    picture = block.face.picture
    tall = block.height_mm * mm
    if picture is not None:
        tall = min(tall, (width - 2 * gutter) * picture.height / picture.width)
    height = tall + gutter + len(caption) * SMALL.line + 1 * mm

    def draw(pen: Pen, x: float, y: float) -> None:
        bottom = y - gutter - tall
        box = pen.picture(picture, x + gutter, bottom, width - 2 * gutter, tall)
        if box is None:
            wide = min(width - 2 * gutter, tall * 1.35)
            box = (x + (width - wide) / 2, bottom, wide, tall)
            pen.box(*box)
            pen.text(
                "No picture of this face: draw its outline here.",
                box[0] + 2 * mm,
                box[1] + 2 * mm,
                SMALL,
                wide - 4 * mm,
            )
        _grid(pen, box, block.grid or WHOLE)
        _marks(pen, box, block.marks)
        pen.lines(caption, x, bottom - 1 * mm, SMALL, width)

    return [Piece(height, draw, gap=2 * mm)]


def _grid(pen: Pen, picture: Frame, grid: Frame) -> None:
    """The grid over the face in the picture; its names stand outside the picture."""
    left = picture[0] + grid[0] * picture[2] / 100
    bottom = picture[1] + (100 - grid[1] - grid[3]) * picture[3] / 100
    width, height = grid[2] * picture[2] / 100, grid[3] * picture[3] / 100
    if grid != WHOLE:
        for weight, grey in ((1.4, 1.0), (0.5, 0.0)):
            pen.box(left, bottom, width, height, weight, grey)
    for third in (1, 2):
        x, y = left + width * third / 3, bottom + height * third / 3
        for weight, grey in ((1.4, 1.0), (0.5, 0.0)):
            pen.upright(x, bottom, bottom + height, weight, grey)
            pen.rule(left, y, width, weight, grey)
    for column, name in enumerate(COLUMNS):
        middle = left + width * (column + 0.5) / 3
        pen.text(name, middle - 3, picture[1] + picture[3] + 1.2 * mm, SMALL_BOLD, 20)
    for row, name in enumerate(ROWS):
        middle = bottom + height * (2.5 - row) / 3
        pen.text(name, picture[0] - 5 * mm, middle - 3, SMALL_BOLD, 20)


def _marks(pen: Pen, box: tuple[float, float, float, float], marks: tuple[MarkWords, ...]) -> None:
    left, bottom, width, height = box
    canvas = pen.canvas
    for mark in marks:
        if mark.by_zone:
            continue
        x = left + mark.x * width / 100
        y = bottom + height - mark.y * height / 100
        if not mark.width and not mark.height:
            canvas.setStrokeGray(1)
            canvas.setFillGray(0)
            canvas.setLineWidth(0.8)
            canvas.circle(x, y, 1.6, stroke=1, fill=1)
            continue
        corners = [
            (left + a * width / 100, bottom + height - b * height / 100)
            for a, b in mark.path or _corners(mark)
        ]
        _path(pen, corners, closed=mark.closed or not mark.path, dashed=mark.earlier)
    badges = place_badges(marks, width, height, BADGE_RADIUS)
    for badge in badges:
        if hypot(badge.x - badge.at_x, badge.y - badge.at_y) > BADGE_RADIUS:
            ends = (
                left + badge.at_x,
                bottom + height - badge.at_y,
                left + badge.x,
                bottom + height - badge.y,
            )
            for weight, grey in ((1.8, 1.0), (0.6, 0.0)):
                canvas.setStrokeGray(grey)
                canvas.setLineWidth(weight)
                canvas.line(*ends)
    for badge in badges:
        x, y = left + badge.x, bottom + height - badge.y
        canvas.setFillGray(1)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.8)
        canvas.circle(x, y, BADGE_RADIUS, stroke=1, fill=1)
        words = set_line(str(badge.number), BADGE)
        pen.line(words, x - words.width / 2, y - 3.2, BADGE)


def _corners(mark: MarkWords) -> list[tuple[float, float]]:
    right, below = mark.x + mark.width, mark.y + mark.height
    return [(mark.x, mark.y), (right, mark.y), (right, below), (mark.x, below)]


def _path(pen: Pen, corners: list[tuple[float, float]], *, closed: bool, dashed: bool) -> None:
    """White below black, so that it is seen on dark and on light."""
    canvas = pen.canvas
    canvas.saveState()
    canvas.setLineJoin(1)
    for weight, grey in ((2, 1), (0.9, 0)):
        canvas.setStrokeGray(grey)
        canvas.setLineWidth(weight)
        canvas.setDash([3, 2] if dashed and not grey else [])
        path = canvas.beginPath()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        if closed:
            path.close()
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.restoreState()


def face_pair(block: FacePair, width: float) -> list[Piece]:
    """Two pictures of one size with what each is and what one sees at its top left."""
    column = (width - 8 * mm) / 2
    tall = block.height_mm * mm
    sides = [(block.left_title, block.left), (block.right_title, block.right)]
    words = [
        (
            fit(title, HEADING, column),
            set_lines(face.label, BOLD, column),
            set_lines(face.top_left, BODY, column),
        )
        for title, face in sides
    ]
    height = (
        HEADING.line
        + tall
        + 2 * mm
        + max(len(label) * BOLD.line + len(mark) * BODY.line for _, label, mark in words)
    )

    def draw(pen: Pen, x: float, y: float) -> None:
        for number, (title, label, landmark) in enumerate(words):
            left = x + number * (column + 8 * mm)
            pen.line(title, left, y - HEADING.size, HEADING)
            _pair_picture(pen, sides[number][1], left, y - HEADING.line - tall, column, tall)
            at = y - HEADING.line - tall - 2 * mm
            pen.lines(label, left, at, BOLD, column)
            pen.lines(landmark, left, at - len(label) * BOLD.line, BODY, column)
        middle = x + column + 4 * mm
        if block.arrow:
            _arrow(pen, middle, y - HEADING.line - tall / 2)

    return [Piece(height, draw, gap=2 * mm)]


def _pair_picture(
    pen: Pen, face: FaceWords, x: float, bottom: float, width: float, height: float
) -> None:
    if pen.picture(face.picture, x, bottom, width, height) is None:
        pen.box(x, bottom, width, height)
        pen.text("No picture of this face is on record.", x + 6, bottom + 6, SMALL, width - 12)


def _arrow(pen: Pen, x: float, y: float) -> None:
    canvas = pen.canvas
    canvas.setFillGray(0)
    canvas.rect(x - 3 * mm, y - 0.5 * mm, 4 * mm, 1 * mm, stroke=0, fill=1)
    path = canvas.beginPath()
    path.moveTo(x + 1 * mm, y + 1.8 * mm)
    path.lineTo(x + 1 * mm, y - 1.8 * mm)
    path.lineTo(x + 3.2 * mm, y)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)
