"""Tables whose heads come again on each page; a row breaks only when no page could hold it."""

from reportlab.lib.units import mm

from lifecycle.papers.fonts.lines import Line, set_line, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import ACT, BODY, BOLD, SMALL_BOLD, TICK, Pen
from lifecycle.papers.words.blocks import Cell, Column, Table
from lifecycle.papers.words.parts import PictureWords

PAD = 1.2 * mm
#: What a cell leaves free beside its words: half the pad before them, one behind.
ASIDE = 1.5 * PAD
#: How tall the head of a tick column may stand.
UPRIGHT = 17.5 * mm
#: Where a row is too tall for any page it goes on after so many lines of its longest cell.
LINES_AT_ONCE = 9


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
    for row, picture in zip(rows, pictures, strict=True):
        pieces += _row(block, widths, width, row, head, picture)
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
    return set_lines(words, ACT if column.cell is Cell.NUMBER else BODY, width - ASIDE)


def _row(
    block: Table,
    widths: list[float],
    width: float,
    row: tuple[str, ...],
    head: Piece,
    picture: PictureWords | None,
) -> list[Piece]:
    """One row, whole: pieces held together, which part only where no page could hold them all."""
    cells = [
        _cell(column, words, cell)
        for column, words, cell in zip(block.columns, row, widths, strict=True)
    ]
    longest = max(len(lines) for lines in cells)
    starts = range(0, max(longest, 1), LINES_AT_ONCE)
    return [
        _part(
            block,
            widths,
            width,
            [lines[start : start + LINES_AT_ONCE] for lines in cells],
            head,
            picture if start == 0 else None,
            first=start == 0,
            last=start + LINES_AT_ONCE >= longest,
        )
        for start in starts
    ]


def _part(
    block: Table,
    widths: list[float],
    width: float,
    cells: list[list[Line]],
    head: Piece,
    picture: PictureWords | None,
    *,
    first: bool,
    last: bool,
) -> Piece:
    """Some lines of a row: boxes and picture stand in its first part, its rule below the last."""
    height = max(
        block.row_mm * mm if first else 0.0,
        *[
            len(lines) * (ACT if column.cell is Cell.NUMBER else BODY).line + PAD * (first + last)
            for column, lines in zip(block.columns, cells, strict=True)
        ],
    )

    def draw(pen: Pen, x: float, y: float) -> None:
        at = x
        for column, lines, cell in zip(block.columns, cells, widths, strict=True):
            style = ACT if column.cell is Cell.NUMBER else BODY
            if column.cell is Cell.TICK:
                if first:
                    pen.tick_box(at + (cell - TICK) / 2, y - height / 2 - TICK / 2)
            elif column.cell is Cell.PICTURE:
                side = block.row_mm * mm - 2 * PAD
                pen.picture(picture, at, y - PAD - side, cell - PAD, side)
            else:
                pen.lines(lines, at + PAD / 2, y - PAD * first, style, cell - ASIDE)
            if at > x:
                pen.upright(at, y - height, y, 0.3, 0.7)
            at += cell
        if last:
            pen.rule(x, y - height, width, 0.4, 0.4)

    return Piece(height, draw, again=head, stays=not last)
