"""Pieces that flow down pages: nothing breaks inside a piece, table heads come again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lifecycle.papers.ink.pen import Pen

#: Draws a piece at its left edge and its top.
Draw = Callable[[Pen, float, float], None]


@dataclass(frozen=True)
class Piece:
    """Something that stands on one page, so high in points, with a gap below it.

    `again` is drawn first when the piece begins a page (the head of its table). `stays` keeps the
    piece on the page of the next one. `breaks` begins a new page and draws nothing.
    """

    height: float
    draw: Draw
    gap: float = 0
    again: "Piece | None" = None
    stays: bool = False
    breaks: bool = False


@dataclass(frozen=True)
class Placed:
    piece: Piece
    y: float


def new_page() -> Piece:
    return Piece(0, lambda pen, x, y: None, breaks=True)


def together(pieces: Sequence[Piece]) -> list[Piece]:
    """The same pieces, each held to the next one's page."""
    kept = [
        Piece(one.height, one.draw, one.gap, one.again, stays=True, breaks=one.breaks)
        for one in pieces[:-1]
    ]
    return [*kept, *pieces[-1:]]


def onto_pages(pieces: Sequence[Piece], top: float, bottom: float) -> list[list[Placed]]:
    """Place pieces from the top of each page down; `top` and `bottom` bound the body of a page."""
    pages: list[list[Placed]] = [[]]
    y, at = top, 0
    while at < len(pieces):
        piece = pieces[at]
        if piece.breaks:
            if pages[-1]:
                pages.append([])
                y = top
            at += 1
            continue
        group = [piece]
        while group[-1].stays and at + len(group) < len(pieces):
            group.append(pieces[at + len(group)])
        needed = sum(one.height for one in group) + sum(one.gap for one in group[:-1])
        if needed > top - bottom:
            group, needed = [piece], piece.height
        if pages[-1] and y - needed < bottom:
            pages.append([])
            y = top
            if piece.again is not None:
                pages[-1].append(Placed(piece.again, y))
                y -= piece.again.height + piece.again.gap
        pages[-1].append(Placed(piece, y))
        y -= piece.height + piece.gap
        at += 1
    return [page for page in pages if page] or [[]]
