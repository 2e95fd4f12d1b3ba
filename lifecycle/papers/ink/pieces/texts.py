"""Headings, running text, pairs of label and value, cautions, cut lines."""

from reportlab.lib.units import mm

from lifecycle.papers.fonts.catalogue import Style
from lifecycle.papers.fonts.lines import Line, fit, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import BODY, BOLD, HEADING, SMALL, Pen
from lifecycle.papers.ink.signs import hazard_sign, orientation_sign
from lifecycle.papers.words.blocks import Big, Cautions, CutLine, Facts, Heading, Text

PAD = 2 * mm
CLOSE, CLOSE_PAD = Style(SMALL.size, leading=1.22), 1.4 * mm
CUT = 3 * mm
NOTHING = "–"
WHOLE = 3
"""A value with fewer breaks than this stays on one page."""


def heading(block: Heading, width: float) -> list[Piece]:
    title = set_lines(block.text, HEADING, width)
    note = set_lines(block.note, SMALL, width)
    height = 2 * mm + len(title) * HEADING.line + len(note) * SMALL.line

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.lines(title, x, y - 2 * mm, HEADING, width)
        pen.lines(note, x, y - 2 * mm - len(title) * HEADING.line, SMALL, width)

    return [Piece(height, draw, gap=1.2 * mm, stays=True)]


def text(block: Text, width: float) -> list[Piece]:
    style = Style(block.size, bold=block.bold)

    def line_piece(line: Line, last: bool) -> Piece:
        def draw(pen: Pen, x: float, y: float) -> None:
            pen.lines([line], x, y, style, width)

        return Piece(style.line, draw, gap=0.8 * mm if last else 0)

    set_text = set_lines(block.text, style, width)
    return [line_piece(line, at == len(set_text)) for at, line in enumerate(set_text, start=1)]


def facts(block: Facts, width: float) -> list[Piece]:
    """Label and value on one line, values wrap under themselves.

    Each column has the room for labels that its own ask for.
    """
    column = (width - (block.columns - 1) * 5 * mm) / block.columns
    label_widths = [
        min(
            column * 0.42,
            max(fit(label, BOLD, column).width for label, _ in block.rows[at :: block.columns])
            + 2.5 * mm,
        )
        for at in range(min(block.columns, len(block.rows)))
    ]
    pieces = []
    for at in range(0, len(block.rows), block.columns):
        row = block.rows[at : at + block.columns]
        cells = [
            (
                set_lines(label, BOLD, room - 1 * mm),
                set_lines(value or NOTHING, BODY, column - room),
            )
            for (label, value), room in zip(row, label_widths, strict=False)
        ]
        lines_below = len(block.rows) - at
        stays = lines_below <= block.held * block.columns
        if block.columns == 1 and row[0][1].count("\n") >= WHOLE:
            pieces += _paragraphs(row[0], width, label_widths[0], stays=stays)
            continue
        height = max(max(len(label), len(value)) for label, value in cells) * BODY.line

        def draw(
            pen: Pen, x: float, y: float, cells: list[tuple[list[Line], list[Line]]] = cells
        ) -> None:
            for number, (label, value) in enumerate(cells):
                left, room = x + number * (column + 5 * mm), label_widths[number]
                pen.lines(label, left, y, BOLD, room)
                pen.lines(value, left + room, y, BODY, column - room)

        pieces.append(Piece(height, draw, gap=0.8 * mm, stays=stays))
    return pieces


def _paragraphs(
    row: tuple[str, str], width: float, label_width: float, *, stays: bool
) -> list[Piece]:
    """A value of many paragraphs: a piece for each, so that a page may end between two."""
    label = set_lines(row[0], BOLD, label_width - 1 * mm)
    room = width - label_width
    values = [set_lines(one, BODY, room) for one in row[1].split("\n")]

    def piece(at: int, value: list[Line]) -> Piece:
        name = label if at == 0 else []

        def draw(pen: Pen, x: float, y: float) -> None:
            pen.lines(name, x, y, BOLD, label_width)
            pen.lines(value, x + label_width, y, BODY, room)

        last = at == len(values) - 1
        height = max(len(name), len(value)) * BODY.line
        # The first two stand together, and so do the last two.
        joined = at in (0, len(values) - 2)
        return Piece(height, draw, gap=0.8 * mm if last else 0, stays=stays or joined)

    return [piece(at, value) for at, value in enumerate(values)]


def cautions(block: Cautions, width: float) -> list[Piece]:
    """Framed, with a sign; each caution is a piece of its own so that a long list may break.

    On half a sheet the lines stand a little closer.
    """
    indent = 9 * mm if block.sign else 0
    inner = width - indent - 2 * PAD
    said, pad = (CLOSE, CLOSE_PAD) if block.small else (BODY, PAD)
    head = set_lines(block.hazard_line, BOLD, inner)
    bodies = [set_lines(line, said, inner) for line in block.lines]
    rows = [(head, BOLD)] * bool(head) + [(body, said) for body in bodies]
    pieces = []
    for number, (lines, style) in enumerate(rows):
        first, last = number == 0, number == len(rows) - 1
        height = len(lines) * style.line + (pad if first else 1) + (pad if last else 0)

        def draw(
            pen: Pen,
            x: float,
            y: float,
            lines: list[Line] = lines,
            style: Style = style,
            height: float = height,
            first: bool = first,
            last: bool = last,
        ) -> None:
            top = y - (pad if first else 1)
            pen.lines(lines, x + indent + PAD, top, style, inner)
            if first:
                if block.sign:
                    hazard_sign(pen.canvas, x + 2 * mm, y - pad - 6 * mm, 6 * mm)
                pen.rule(x, y, width, 1, 0)
            if last:
                pen.rule(x, y - height, width, 1, 0)
            pen.upright(x, y - height, y, 1, 0)
            pen.upright(x + width, y - height, y, 1, 0)

        pieces.append(Piece(height, draw, gap=2 * mm if last else 0, stays=first and not last))
    return pieces


def cut_line(block: CutLine, width: float) -> list[Piece]:
    """A dashed line to cut or fold along, with what the part below is."""

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.canvas.saveState()
        pen.canvas.setDash(4, 3)
        pen.rule(x - 8 * mm, y - CUT, width + 12 * mm, 0.7, 0.2)
        pen.canvas.restoreState()
        pen.text(block.text, x, y - CUT - SMALL.size - 1, SMALL, width)

    return [Piece(CUT + SMALL.size + 3, draw, gap=1 * mm, stays=True)]


def big(block: Big, width: float) -> list[Piece]:
    style = Style(block.size, bold=True, mono=True, leading=1.25)
    lines = set_lines(block.text, style, width)
    height = len(lines) * style.line

    signed = block.orientation != "any"
    side = style.line * 0.8

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.lines(lines, x, y, style, width)
        if signed:
            left = x + min(lines[-1].width + 3 * mm, width - side)
            bottom = y - height + (style.line - side) / 2
            orientation_sign(pen.canvas, block.orientation, left, bottom, side)

    return [Piece(height, draw, gap=1 * mm, stays=True)]
