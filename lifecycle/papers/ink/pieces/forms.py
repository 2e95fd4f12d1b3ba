"""What is filled in by hand: boxes to tick, short blanks, writing lines, signatures."""

from reportlab.lib.units import mm

from lifecycle.papers.fonts.lines import Line, fit, set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import BODY, BOLD, SMALL, TICK, WRITE_LINE, Pen
from lifecycle.papers.words.blocks import Blanks, Lines, Signatures, Ticks

LABEL_SHARE = 0.22
OPTION_GAP = 6 * mm
ROW = 7.4 * mm


def ticks(block: Ticks, width: float) -> list[Piece]:
    """The question at the left, boxes with their words behind it, and a line to write on."""
    label_width = width * LABEL_SHARE
    label = set_lines(block.label, BOLD, label_width - 2 * mm)
    room = width - label_width
    rows: list[list[tuple[float, Line | None, float]]] = [[]]
    x = 0.0
    for option in block.options:
        words = fit(option, BODY, room - TICK - 2 * mm)
        step = TICK + 1.6 * mm + words.width + OPTION_GAP
        if x and x + step - OPTION_GAP > room:
            rows.append([])
            x = 0.0
        rows[-1].append((x, words, 0))
        x += step
    write = fit(block.write, BODY, room / 2) if block.write else None
    if write is not None:
        if x and x + write.width + block.least_line_mm * mm > room:
            rows.append([])
            x = 0.0
        rows[-1].append((x, None, write.width))
    height = max(len(rows) * ROW, len(label) * BOLD.line + 2 * mm)

    def draw(pen: Pen, left: float, y: float) -> None:
        pen.lines(label, left, y - 1.1 * mm, BOLD, label_width)
        for number, row in enumerate(rows):
            bottom = y - number * ROW - 1 * mm - TICK
            for offset, words, _ in row:
                at = left + label_width + offset
                if words is not None:
                    pen.tick_box(at, bottom)
                    pen.line(words, at + TICK + 1.6 * mm, bottom + 1.4 * mm, BODY)
                elif write is not None:
                    pen.line(write, at, bottom + 1.4 * mm, BODY)
                    start = at + write.width + 1.5 * mm
                    pen.rule(start, bottom, left + width - start, 0.6)

    return [Piece(height, draw, gap=1 * mm)]


def blanks(block: Blanks, width: float) -> list[Piece]:
    """Labels with a line behind each, side by side by their share of the width."""
    total = sum(share for _, share in block.fields)
    gap = 4 * mm
    room = width - gap * (len(block.fields) - 1)
    cells = [(label, room * share / total) for label, share in block.fields]
    labels = [(fit(label, BODY, cell), cell) for label, cell in cells]

    def draw(pen: Pen, x: float, y: float) -> None:
        base = y - WRITE_LINE + 1 * mm
        for words, cell in labels:
            pen.line(words, x, base + 1, BODY)
            start = x + words.width + 1.5 * mm
            pen.rule(start, base - 1, max(0.0, x + cell - start), 0.6)
            x += cell + gap

    return [Piece(WRITE_LINE + 1 * mm, draw)]


def lines(block: Lines, width: float) -> list[Piece]:
    label = set_lines(block.label, BOLD, width)

    def draw_label(pen: Pen, x: float, y: float) -> None:
        pen.lines(label, x, y, BOLD, width)

    def draw_line(pen: Pen, x: float, y: float) -> None:
        pen.rule(x, y - WRITE_LINE, width, 0.6)

    head = [Piece(len(label) * BOLD.line, draw_label, stays=True)] if label else []
    return [*head, *[Piece(WRITE_LINE, draw_line) for _ in range(block.count)], _gap(2 * mm)]


def _gap(height: float) -> Piece:
    return Piece(height, lambda pen, x, y: None)


#: After the capacity: printed name, role, signature, date and time, as shares of the width.
CAPACITY_SHARE = 0.17
SIGN_CELLS = (
    ("printed name", 0.25),
    ("role", 0.14),
    ("signature", 0.23),
    ("date", 0.12),
    ("time", 0.09),
)


def signatures(block: Signatures, width: float) -> list[Piece]:
    """In which capacity, then printed name, role, signature, date and time on one line."""
    pieces = []
    for one in block.lines:
        capacity = set_lines(one.capacity, BOLD, width * CAPACITY_SHARE - 2 * mm)
        filled = {
            label: set_lines(text, BODY, width * share - 4 * mm)
            for (label, share), text in zip(SIGN_CELLS, (one.name, one.role), strict=False)
        }
        above = (max(1, *(len(lines) for lines in filled.values())) - 1) * BODY.line
        height = max(above + WRITE_LINE + SMALL.size + 2, len(capacity) * BOLD.line)

        def draw(
            pen: Pen,
            x: float,
            y: float,
            capacity: list[Line] = capacity,
            filled: dict[str, list[Line]] = filled,
            above: float = above,
        ) -> None:
            base = y - above - WRITE_LINE
            pen.lines(capacity, x, min(y, base + 1 * mm + BOLD.line), BOLD, width)
            at = x + width * CAPACITY_SHARE
            for label, share in SIGN_CELLS:
                cell = width * share - 2.5 * mm
                pen.rule(at, base, cell, 0.7, 0.2)
                lines = filled.get(label, [])
                pen.lines(
                    lines, at + 0.5 * mm, base + 1.4 * mm + len(lines) * BODY.line, BODY, cell
                )
                pen.text(label, at, base - SMALL.size - 0.5, SMALL, cell)
                at += width * share

        pieces.append(Piece(height, draw, gap=2.2 * mm))
    return pieces
