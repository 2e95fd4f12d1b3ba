"""Tables whose rows never break and whose heads come again on each page."""

from reportlab.lib.units import mm

from lifecycle.papers.fonts.lines import Line, set_line, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import ACT, BODY, BOLD, SMALL_BOLD, TICK, Pen
from lifecycle.papers.words.blocks import Cell, Column, Table
from lifecycle.papers.words.parts import PictureWords

PAD = 1.2 * mm
#: How tall the head of a tick column may stand.
UPRIGHT = 17.5 * mm
#: A cell longer than this is cut and says where the rest stands; a row must fit on any page.
MOST_LINES = 9
REST = "… (the rest is in the record)"


def table(block: Table, width: float) -> list[Piece]:
    total = sum(column.share for column in block.columns)
    widths = [width * column.share / total for column in block.columns]
    head = _head(block, widths, width)
    title = set_lines(block.title, BOLD, width)
    pieces = []
    if title:

        def draw_title(pen: Pen, x: float, y: float) -> None:
            pen.lines(title, x, y - 1.5 * mm, BOLD, width)

        pieces.append(
            Piece(len(title) * BOLD.line + 1.5 * mm, draw_title, gap=0.8 * mm, stays=True)
        )
    pieces.append(head)
    rows = [*block.rows, *[_blank(block, name) for name in block.blank_rows]]
    pictures = [*block.pictures, *[None] * (len(rows) - len(block.pictures))]
    pieces += [
        _row(block, widths, width, row, head, picture)
        for row, picture in zip(rows, pictures, strict=True)
    ]
    last = pieces[-1]
    pieces[-1] = Piece(last.height, last.draw, 2.5 * mm, last.again)
    return pieces


def _blank(block: Table, name: str) -> tuple[str, ...]:
    return (name, *[""] * (len(block.columns) - 1))


def _head(block: Table, widths: list[float], width: float) -> Piece:
    """Heads of tick columns stand upright when they are wider than their boxes."""
    cells = list(zip(block.columns, widths, strict=True))
    stand = any(_too_wide(column, cell) for column, cell in cells)
    upright = [
        set_lines(column.head, SMALL_BOLD, UPRIGHT) if stand and column.cell is Cell.TICK else []
        for column, _ in cells
    ]
    flat = [
        [] if lines else set_lines(column.head, SMALL_BOLD, cell - PAD)
        for lines, (column, cell) in zip(upright, cells, strict=True)
    ]
    height = 2 * PAD + max(
        max(len(lines) for lines in flat) * SMALL_BOLD.line,
        max((line.width for lines in upright for line in lines), default=0.0),
    )

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.canvas.setFillGray(0.92)
        pen.canvas.rect(x, y - height, width, height, stroke=0, fill=1)
        pen.rule(x, y, width, 0.8, 0)
        pen.rule(x, y - height, width, 0.8, 0)
        at = x
        for lines, standing, cell in zip(flat, upright, widths, strict=True):
            for number, line in enumerate(standing):
                aside = (number - (len(standing) - 1) / 2) * SMALL_BOLD.size * 1.08
                pen.canvas.saveState()
                pen.canvas.translate(
                    at + cell / 2 + SMALL_BOLD.size * 0.35 + aside, y - height + PAD
                )
                pen.canvas.rotate(90)
                pen.line(line, 0, 0, SMALL_BOLD)
                pen.canvas.restoreState()
            if lines:
                top = y - height + PAD + len(lines) * SMALL_BOLD.line
                pen.lines(lines, at + PAD / 2, top, SMALL_BOLD, cell - PAD)
            at += cell

    return Piece(height, draw, stays=True)


def _too_wide(column: Column, cell: float) -> bool:
    return column.cell is Cell.TICK and set_line(column.head, SMALL_BOLD).width > cell - PAD


def _cell(column: Column, words: str, width: float) -> list[Line]:
    if column.cell in {Cell.TICK, Cell.WRITE, Cell.PICTURE}:
        return []
    style = ACT if column.cell is Cell.NUMBER else BODY
    lines = set_lines(words, style, width - PAD)
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES - 1], *set_lines(REST, style, width - PAD)]
    return lines


def _row(
    block: Table,
    widths: list[float],
    width: float,
    row: tuple[str, ...],
    head: Piece,
    picture: PictureWords | None,
) -> Piece:
    cells = [
        _cell(column, words, cell)
        for column, words, cell in zip(block.columns, row, widths, strict=True)
    ]
    height = max(
        block.row_mm * mm,
        *[
            len(lines) * (ACT if column.cell is Cell.NUMBER else BODY).line + 2 * PAD
            for column, lines in zip(block.columns, cells, strict=True)
        ],
    )

    def draw(pen: Pen, x: float, y: float) -> None:
        at = x
        for column, lines, cell in zip(block.columns, cells, widths, strict=True):
            style = ACT if column.cell is Cell.NUMBER else BODY
            if column.cell is Cell.TICK:
                pen.tick_box(at + (cell - TICK) / 2, y - height / 2 - TICK / 2)
            elif column.cell is Cell.PICTURE:
                side = block.row_mm * mm - 2 * PAD
                pen.picture(picture, at, y - PAD - side, cell - PAD, side)
            else:
                pen.lines(lines, at + PAD / 2, y - PAD, style, cell - PAD)
            if at > x:
                pen.upright(at, y - height, y, 0.3, 0.7)
            at += cell
        pen.rule(x, y - height, width, 0.4, 0.4)

    return Piece(height, draw, again=head)
