"""Labels in their true size: on plain paper with lines to cut along, or on card of their own size.

A label is set once and placed on whatever the printer holds. What does not fit on it goes on to a
further label with the same number, so that no hazard is ever cut off.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm

from lifecycle.papers.fonts.catalogue import Style
from lifecycle.papers.fonts.lines import Line, fit, set_line, set_lines
from lifecycle.papers.ink.frame import SIZES
from lifecycle.papers.ink.pen import CODE, INK, Pen
from lifecycle.papers.ink.signs import hazard_sign, orientation_sign
from lifecycle.papers.words.blocks import Card, SheetPlan, Stamp

ON_CARD = "card"
"""A page is the label itself, edge to edge."""

EIGHT = "a4_eight"
"""Card of A4 size that comes apart into eight of 105 by 74 mm (A7 of ISO 216), without a rim."""

LEADING = 1.18
#: The foot, and how many labels there are; what a label says is set in its own size.
WORD = Style(9, leading=LEADING)
WORD_BOLD = Style(9, bold=True, leading=LEADING)

PADS: tuple[tuple[int, float], ...] = ((30, 2 * mm), (60, 3 * mm), (1000, 4 * mm))
"""Up to which height [mm] a label has which rim inside; most printers leave 4 mm free."""

SMALL_BELOW = 30
GAP = 3 * mm
RIM = 10 * mm
HEAD = 9 * mm
RULER = 100
CUT_GREY = 0.35
SIGN: float = 5.5 * mm
#: A sign stands clear of what hangs below the line above it.
CLEAR: float = 0.6 * mm
LEAST_NUMBER = 9
CODE_ROOM = 4.2 * mm
TITLE_LINES = 3
#: What stays free of the air [points]: a sum of fractions may come out a little over the whole.
HAIR: float = 0.01
#: The foot's last line stands on the rim inside, what hangs below it in the rim.
FOOT_DOWN = WORD.line - WORD.size


@dataclass(frozen=True)
class Item:
    """One line of a label, so high in points, drawn from its left edge and its top."""

    height: float
    draw: Callable[[Pen, float, float], None]


@dataclass(frozen=True)
class SetLabel:
    """A label ready to be drawn from its lower left corner; width and height in points."""

    width: float
    height: float
    draw: Callable[[Pen, float, float], None]


def is_of_cards(plan: SheetPlan) -> bool:
    """Whether a paper is made of labels alone."""
    return bool(plan.blocks) and all(isinstance(block, Card) for block in plan.blocks)


def draw_cards(pen: Pen, prints: Sequence[tuple[SheetPlan, Stamp]], page_size: str) -> int:
    """Draw the labels of these prints, several to a page where they fit; how many pages it took."""
    labels = [
        label
        for plan, stamp in prints
        for block in plan.blocks
        if isinstance(block, Card)
        for label in labels_of(block, stamp)
    ]
    pages = list(onto_pages(labels, page_size))
    for number, (size, placed) in enumerate(pages, start=1):
        pen.canvas.setPageSize(size)
        if page_size in SIZES:
            _head(pen, size, number, len(pages))
        for x, bottom, label in placed:
            if page_size in SIZES or (page_size == EIGHT and label.width < size[0] / 2 - mm):
                pen.box(x, bottom, label.width, label.height, 0.3, CUT_GREY)
            label.draw(pen, x, bottom)
        pen.canvas.showPage()
    return len(pages)


Page = tuple[tuple[float, float], list[tuple[float, float, SetLabel]]]


def onto_pages(labels: Sequence[SetLabel], page_size: str) -> Iterator[Page]:
    """Where each label stands: page by page its size and the labels with their lower left corners.

    On plain paper they follow each other in rows with a gap to cut in; on card that comes apart
    each stands in the upper left corner of its own eighth.
    """
    if page_size == ON_CARD:
        yield from (((one.width, one.height), [(0.0, 0.0, one)]) for one in labels)
    elif page_size == EIGHT:
        yield from _in_eighths(labels)
    else:
        yield from _in_rows(labels, SIZES[page_size])


def _in_eighths(labels: Sequence[SetLabel]) -> Iterator[Page]:
    width, height = SIZES["a4"]
    across, down = width / 2, height / 4
    for start in range(0, len(labels), 8):
        yield (
            (width, height),
            [
                (at % 2 * across, height - at // 2 * down - one.height, one)
                for at, one in enumerate(labels[start : start + 8])
            ],
        )


def _in_rows(labels: Sequence[SetLabel], size: tuple[float, float]) -> Iterator[Page]:
    width, height = size
    placed: list[tuple[float, float, SetLabel]] = []
    x, top, row = RIM, height - RIM - HEAD, 0.0
    for one in labels:
        if x > RIM and x + one.width > width - RIM:
            x, top, row = RIM, top - row - GAP, 0.0
        if placed and top - one.height < RIM:
            yield size, placed
            placed = []
            x, top, row = RIM, height - RIM - HEAD, 0.0
        placed.append((x, top - one.height, one))
        x += one.width + GAP
        row = max(row, one.height)
    if placed:
        yield size, placed


def _head(pen: Pen, size: tuple[float, float], number: int, pages: int) -> None:
    """What to set the printer to, and a line to see whether it kept to it."""
    top = size[1] - RIM
    of = f", sheet {number} of {pages}" if pages > 1 else ""
    said = f"Print at 100 %, cut along the lines{of}. This line is {RULER} mm long:"
    pen.text(said, RIM, top - WORD.size, WORD, size[0] - 2 * RIM)
    pen.rule(RIM, top - WORD.size - 2.5 * mm, RULER * mm, 0.8, INK)


def labels_of(card: Card, stamp: Stamp) -> list[SetLabel]:
    """A label, and further ones of its size for what does not fit on it.

    Errors: UncoveredText when no font has a character.
    """
    shape = _Shape(card, stamp)
    return [shape.label(items, at, len(shape.filled)) for at, items in enumerate(shape.filled)]


class _Shape:
    """One label being set: its column of text, and the lines that go into it."""

    def __init__(self, card: Card, stamp: Stamp) -> None:
        self.card, self.stamp = card, stamp
        self.width, self.height = card.width_mm * mm, card.height_mm * mm
        self.pad = next(pad for height, pad in PADS if card.height_mm < height)
        self.qr = card.qr_mm * mm
        picture = 0.0 if card.picture is None else 26 * mm
        self.side = max(self.qr, picture)
        self.room = self.width - 2 * self.pad - (self.side + 2 * mm if self.side else 0)
        self.number, self.number_style = _number(card, self.room)
        self.foot = self._foot()
        self.foot_height = len(self.foot) * WORD.line
        self.space = self.height - 2 * self.pad - self.foot_height
        self.space -= len(self.number) * self.number_style.line
        self._set_in(card.text_size)
        while self.size > card.least_size and not self._fits():
            self._set_in(self.size - 1)
        if card.word and card.lines:
            # A label of whole sentences has air between them, as far as there is room.
            self.air = min(self.size * 0.4, max(0.0, self._left() - HAIR) / len(card.lines))
        self.filled = self._fill()

    def _set_in(self, size: int) -> None:
        self.size, self.air = size, 0.0
        self.word = Style(size, leading=LEADING)
        self.bold = Style(size, bold=True, leading=LEADING)
        self.title = Style(size if self.card.word else size + 1, bold=True, leading=LEADING)

    def _fits(self) -> bool:
        """Whether one label holds all of it in this size, its whole title included."""
        return self._left() >= 0 and len(self._title()) <= TITLE_LINES

    def _left(self) -> float:
        """The room that is left when all of it is set on one label; below 0 it has none."""
        body = sum(item.height for item in self._body())
        return float(self.space - len(self._title()) * self.title.line - body)

    def _title(self) -> list[Line]:
        return set_lines(self.card.title, self.title, self.room)

    def _foot(self) -> list[Line]:
        """What is for staff, number of the print, digest of its words: small labels have none."""
        if self.card.height_mm < SMALL_BELOW:
            return []
        stamped = f"{self.stamp.print_no} · {self.stamp.digest_words}"
        parts = [part for part in (self.card.foot, stamped) if part]
        room = self.width - 2 * self.pad
        one = set_line(" · ".join(parts), WORD)
        if one.width <= room:
            return [one]
        return [line for part in parts for line in set_lines(part, WORD, room)]

    def _fill(self) -> list[list[Item]]:
        body, space = list(self._body()), self.space
        needed = sum(item.height for item in body)
        # The title is what gives way: it stands on the object's record in full.
        most = min(TITLE_LINES, max(1, int((space - needed) // self.title.line)))
        title = [
            _text(line, self.title, self.room)
            for line in _cut(self.card.title, self.title, self.room, most)
        ]
        filled: list[list[Item]] = [[]]
        left = space
        for item in (*title, *body):
            if filled[-1] and item.height > left:
                filled.append([])
                left = space
            filled[-1].append(item)
            left -= item.height
        return filled

    def _body(self) -> Iterator[Item]:
        card = self.card
        yield from self._signed(card.hazard_line, self.bold, "hazard" if card.hazard_sign else "")
        yield from self._signed(card.orientation_words, self.bold, card.orientation)
        for label, value in card.rows:
            yield from self._row(label, value)
        for line in card.lines:
            for at, one in enumerate(set_lines(line, self.word, self.room)):
                yield _text(one, self.word, self.room, above=0.0 if at else self.air)

    def _signed(self, text: str, style: Style, sign: str) -> Iterator[Item]:
        """Words with a drawn sign before their first line."""
        if not text:
            return
        has_sign = sign not in ("", "any")
        indent = SIGN + 1.5 * mm if has_sign else 0.0
        lines = set_lines(text, style, self.room - indent)
        for at, line in enumerate(lines):
            alone = len(lines) == 1 and has_sign
            first = sign if at == 0 and has_sign else ""
            clear = CLEAR if first else 0.0
            height = clear + (max(SIGN + 0.6 * mm, style.line) if alone else style.line)

            def draw(
                pen: Pen,
                x: float,
                top: float,
                line: Line = line,
                first: str = first,
                down: float = (height + clear - style.line) / 2,
            ) -> None:
                if first == "hazard":
                    hazard_sign(pen.canvas, x, top - CLEAR - SIGN, SIGN)
                elif first:
                    orientation_sign(pen.canvas, first, x, top - CLEAR - SIGN, SIGN)
                pen.lines([line], x + indent, top - down, style, self.room - indent)

            yield Item(height, draw)

    def _row(self, label: str, value: str) -> Iterator[Item]:
        """The label once, the value beside it; further lines of it stand under its first."""
        name = set_line(f"{label}: ", self.bold)
        start = name.width + 0.6 * mm
        for at, line in enumerate(set_lines(value, self.word, self.room - start)):

            def draw(pen: Pen, x: float, top: float, line: Line = line, at: int = at) -> None:
                if at == 0:
                    pen.lines([name], x, top, self.bold, name.width)
                pen.lines([line], x + start, top, self.word, self.room - start)

            yield Item(self.word.line, draw)

    def label(self, items: Sequence[Item], at: int, of: int) -> SetLabel:
        def draw(pen: Pen, x: float, bottom: float) -> None:
            left, top = x + self.pad, bottom + self.height - self.pad
            pen.lines(self.number, left, top, self.number_style, self.room)
            y = top - len(self.number) * self.number_style.line
            for item in items:
                item.draw(pen, left, y)
                y -= item.height
            self._beside(pen, x, bottom, at, of)
            foot_top = bottom + self.pad + len(self.foot) * WORD.line - FOOT_DOWN
            pen.lines(self.foot, left, foot_top, WORD, self.width - 2 * self.pad)

        return SetLabel(self.width, self.height, draw)

    def _beside(self, pen: Pen, x: float, bottom: float, at: int, of: int) -> None:
        """QR code with the short code under it, and the picture below them."""
        right, top = x + self.width - self.pad, bottom + self.height - self.pad
        y = top
        if self.qr:
            pen.qr(self.stamp.address, right - self.qr, top - self.qr, self.qr)
            y = top - self.qr - CODE_ROOM
            code = fit(self.stamp.code, CODE, self.side + 2 * mm)
            left = min(right - self.qr / 2 - code.width / 2, right - code.width)
            pen.line(code, left, y + 1 * mm, CODE)
        if of > 1:
            y -= WORD.line
            counted = set_line(f"{at + 1} of {of}", WORD_BOLD)
            pen.line(counted, right - counted.width, y + 1 * mm, WORD_BOLD)
        if self.card.picture is not None and at == 0:
            low = bottom + self.pad + self.foot_height + 1 * mm
            pen.picture(self.card.picture, right - self.side, low, self.side, y - 1 * mm - low)


def _text(line: Line, style: Style, width: float, above: float = 0.0) -> Item:
    def draw(pen: Pen, x: float, top: float) -> None:
        pen.lines([line], x, top - above, style, width)

    return Item(style.line + above, draw)


def _cut(text: str, style: Style, room: float, most: int) -> list[Line]:
    """At most so many lines; the last words give way to an ellipsis."""
    words = text.split()
    lines = set_lines(" ".join(words), style, room)
    while len(lines) > most and len(words) > 1:
        words.pop()
        lines = set_lines(f"{' '.join(words)} …", style, room)
    return lines[:most]


def _number(card: Card, room: float) -> tuple[list[Line], Style]:
    """The number as large as it fits on one line; broken only where it can't be smaller."""
    size = card.number_size
    while size > LEAST_NUMBER:
        style = Style(size, bold=True, mono=not card.word, leading=1.15)
        line = set_line(card.number, style)
        if line.width <= room:
            return [line], style
        size -= 1
    style = Style(LEAST_NUMBER, bold=True, mono=not card.word, leading=1.15)
    return set_lines(card.number, style, room), style
