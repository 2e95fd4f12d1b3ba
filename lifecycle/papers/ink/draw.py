"""Draw a planned paper: two passes, so that every page can say of how many it is one.

reportlab's embedded fonts keep state while a document is drawn, so papers are drawn one at a time.
`invariant` makes the same words give the same bytes; images are stored as binary streams
(`useA85 = 0`), which is five times faster and a quarter smaller.
"""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from threading import Lock

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from lifecycle.papers.fonts.catalogue import Style, fonts_for, forget_shapes
from lifecycle.papers.ink.cards import draw_cards, is_of_cards
from lifecycle.papers.ink.flow import Placed, onto_pages
from lifecycle.papers.ink.frame import HALF_SIZES, SIZES, Frame
from lifecycle.papers.ink.pen import Pen, PictureSource
from lifecycle.papers.ink.pieces import pieces_of
from lifecycle.papers.words.blocks import (
    Block,
    FacePair,
    FacePicture,
    LetteredPlan,
    NewPage,
    Plot,
    SheetPlan,
    Stamp,
    Table,
    Together,
)

rl_config.useA85 = 0
LEAST_PICTURE, MOST_PICTURE = 55.0, 105.0
#: So many empty rows for new features stay where more would stand on a page of their own.
LEAST_BLANK_ROWS = 3
#: How much of their size pairs of pictures, plots and plans keep, largest first.
PAIR_SCALES = (1.0, 0.9, 0.8, 0.7, 0.6)
#: The share of a page that is a large gap when it stays empty.
LARGE_GAP = 0.25
_ONE_AT_A_TIME = Lock()


@dataclass(frozen=True)
class Drawn:
    """A paper as PDF bytes, and how many pages it has."""

    pdf: bytes
    pages: int


def fitted(blocks: Sequence[Block], width: float, body: float) -> list[Block]:
    """Give the picture of a face the height that lets the face stand on one page, if one can.

    Where only the empty rows for new features stand in its way, some of them go. A page's worth of
    blocks lies between two `NewPage`; `body` is the height of a page's body.
    """
    found: list[Block] = []
    for page in _between_new_pages(blocks):
        pictured = any(isinstance(one, FacePicture) for one in page)
        spare = _spare(page, width, body) if pictured else 0.0
        shorter, left = page, spare
        while pictured and left < 0 and (fewer := _without_last_blank_row(shorter)) != shorter:
            shorter, left = fewer, _spare(fewer, width, body)
        if left >= 0:
            page, spare = shorter, left
        height = float(min(MOST_PICTURE, LEAST_PICTURE + spare / mm)) if spare >= 0 else None
        found += [
            replace(one, height_mm=height or MOST_PICTURE) if isinstance(one, FacePicture) else one
            for one in page
        ]
    return found


def _without_last_blank_row(page: Sequence[Block]) -> list[Block]:
    """The same page, with an empty row less in each table that has enough of them."""
    return [
        replace(one, blank_rows=one.blank_rows[:-1])
        if isinstance(one, Table) and len(one.blank_rows) > LEAST_BLANK_ROWS
        else one
        for one in page
    ]


def _between_new_pages(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    page: list[Block] = []
    for block in blocks:
        if isinstance(block, NewPage) and page:
            yield page
            page = []
        page.append(block)
    if page:
        yield page


def _spare(page: Sequence[Block], width: float, body: float) -> float:
    """What a page has left with its picture as small as it may be [points]; below 0: too little."""
    pieces = [
        piece
        for block in page
        for piece in pieces_of(
            replace(block, height_mm=LEAST_PICTURE) if isinstance(block, FacePicture) else block,
            width,
        )
    ]
    return body - sum(piece.height + piece.gap for piece in pieces)


@dataclass(frozen=True)
class Sheet:
    """One paper of a pack: what it says, its stamp, and `a4` or `letter`; labels on card too."""

    plan: SheetPlan
    stamp: Stamp
    page_size: str


def draw(plan: SheetPlan, stamp: Stamp, *, page_size: str, pictures: PictureSource) -> Drawn:
    """Draw a paper on `a4` or `letter`; labels also on `card` and `a4_eight` (see `ink.cards`).

    Errors: UncoveredText when no font has a character; call `unprintable` before printing to name
    the field. KeyError for an unknown page size.
    """
    return draw_pack([Sheet(plan, stamp, page_size)], pictures=pictures)


def draw_pack(sheets: Sequence[Sheet], *, pictures: PictureSource) -> Drawn:
    """Draw several papers into one file; each counts its own pages. Errors as in `draw`.

    Labels that follow each other on the same stock share its pages.
    """
    with _ONE_AT_A_TIME:
        forget_shapes()
        sheet = io.BytesIO()
        canvas = Canvas(
            sheet,
            pagesize=SIZES.get(sheets[0].page_size, SIZES["a4"]),
            invariant=1,
            pageCompression=1,
            initialFontName=next(fonts_for(Style())).fontName,
            lang="en",
        )
        first = sheets[0]
        more = f" and {len(sheets) - 1} more" if len(sheets) > 1 else ""
        number = first.plan.head.object_number
        canvas.setTitle(f"{first.plan.head.paper_name} {first.stamp.print_no} {number}{more}")
        canvas.setAuthor(first.plan.head.institution)
        canvas.setSubject(f"{first.stamp.record_no} version {first.stamp.version}")
        canvas.setCreator("Showrest")
        pen = Pen(canvas, pictures)
        drawn = sum(_draw_run(pen, list(run)) for _, run in groupby(sheets, key=_stock))
        canvas.save()
        return Drawn(sheet.getvalue(), drawn)


def _stock(sheet: Sheet) -> str:
    """Labels on the same stock run on; every other paper begins on a page of its own."""
    return sheet.page_size if is_of_cards(sheet.plan) else ""


def _draw_run(pen: Pen, sheets: Sequence[Sheet]) -> int:
    if is_of_cards(sheets[0].plan):
        return draw_cards(pen, [(one.plan, one.stamp) for one in sheets], sheets[0].page_size)
    return sum(_draw_one(pen, one) for one in sheets)


def _fullest(blocks: Sequence[Block], frame: Frame) -> list[list[Placed]]:
    """Lay the blocks out with pairs, plots and plans as large as they may be on the fewest pages.

    Among as many pages, those without a large gap before the last are taken.
    """
    body = frame.top - frame.bottom
    best: tuple[int, bool] | None = None
    pages: list[list[Placed]] = []
    for scale in PAIR_SCALES if _shrinks(blocks) else (1.0,):
        pieces = [
            one for block in blocks for one in pieces_of(with_pairs(block, scale), frame.width)
        ]
        tried = onto_pages(pieces, frame.top, frame.bottom)
        gap = max((_left_empty(page, frame.bottom) for page in tried[:-1]), default=0.0)
        cost = (len(tried), gap > body * LARGE_GAP)
        if best is None or cost < best:
            best, pages = cost, tried
        if len(pages) == 1:
            break
    return pages


def _left_empty(page: Sequence[Placed], bottom: float) -> float:
    return page[-1].y - page[-1].piece.height - bottom


def _shrinks(blocks: Sequence[Block]) -> bool:
    return any(
        isinstance(one, FacePair | Plot | LetteredPlan) and one.least_mm
        for block in blocks
        for one in (block.blocks if isinstance(block, Together) else (block,))
    )


def with_pairs(block: Block, scale: float) -> Block:
    """The block with its pairs of pictures, plots and plans drawn smaller, as far as may be."""
    if isinstance(block, Together):
        return replace(block, blocks=tuple(with_pairs(one, scale) for one in block.blocks))
    if isinstance(block, FacePair | Plot | LetteredPlan) and block.least_mm:
        height = max(min(block.least_mm, block.height_mm), block.height_mm * scale)
        return replace(block, height_mm=height)
    return block


def _draw_one(pen: Pen, sheet: Sheet) -> int:
    sizes = HALF_SIZES if sheet.plan.half else SIZES
    frame = Frame(sheet.plan.head, sheet.stamp, sizes[sheet.page_size], half=sheet.plan.half)
    blocks = fitted(sheet.plan.blocks, frame.width, frame.top - frame.bottom)
    pages = _fullest(blocks, frame)
    for number, page in enumerate(pages, start=1):
        pen.canvas.setPageSize(frame.size)
        frame.draw(pen, number, len(pages))
        for placed in page:
            placed.piece.draw(pen, frame.x, placed.y)
        pen.canvas.showPage()
    return len(pages)
