"""Text of any script set into lines of a given width: direction, fonts, shapes, breaks.

Direction follows the Unicode bidirectional algorithm (python-bidi), shapes come from HarfBuzz
(uharfbuzz), fonts are chosen group by group by coverage (`catalogue`).
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import uharfbuzz
from bidi.algorithm import (
    explicit_embed_and_overrides,
    get_base_level,
    get_embedding_levels,
    get_empty_storage,
    resolve_implicit_levels,
    resolve_neutral_types,
    resolve_weak_types,
)
from reportlab.pdfbase.ttfonts import ShapeData, ShapedStr
from reportlab.pdfgen.canvas import Canvas

from lifecycle.papers.fonts.catalogue import Letters, Style, clean, clusters, font_of

WIDE = ("W", "F")
BRACKETS = {"(": ")", "[": "]", "{": "}", "«": "»"}


class UncoveredText(Exception):
    """No font on this machine has these characters."""

    def __init__(self, characters: str) -> None:
        super().__init__(characters)
        self.characters = characters


@dataclass(frozen=True)
class Run:
    """Glyphs of one font in the order they stand on paper, and their width at 1 pt."""

    font: Letters
    glyphs: ShapedStr
    said: tuple[tuple[int, str], ...]
    width: float


@dataclass(frozen=True)
class Line:
    """One line: runs from left to right, its width in points, and whether it reads leftwards."""

    runs: tuple[Run, ...]
    width: float
    leftwards: bool


def set_lines(text: str, style: Style, width: float) -> list[Line]:
    """Break a text into lines no wider than `width` points; an empty text gives no line.

    Errors: UncoveredText when no font has a character.
    """
    return [
        line
        for paragraph in clean(text).split("\n")
        for line in _paragraph(paragraph.rstrip(), style, width)
    ]


def set_line(text: str, style: Style) -> Line:
    """One line, however long."""
    flat = clean(text).replace("\n", " ")
    return _line(flat, 0, len(flat), _levels(flat), style)


def cut_to(text: str, characters: int) -> str:
    """The text, or its beginning with an ellipsis, in at most so many characters."""
    flat = " ".join(text.split())
    return flat if len(flat) <= characters else flat[: characters - 1].rstrip() + "…"


def fit(text: str, style: Style, width: float) -> Line:
    """One line no wider than `width`: the text is cut with an ellipsis when it must be."""
    flat = " ".join(clean(text).split())
    line = set_line(flat, style)
    while line.width > width and len(flat) > 1:
        keep = max(1, min(len(flat) - 1, int(len(flat) * width / line.width)))
        flat = flat[:keep].rstrip("… ")
        line = set_line(flat + "…", style)
    return line


def draw_line(canvas: Canvas, line: Line, x: float, y: float, style: Style) -> None:
    """Put a line on the paper; x, y is the left end of its base line in points."""
    for run in line.runs:
        run.font.remember(run.said)
        text = canvas.beginText(x, y)
        text.setFont(run.font.fontName, style.size)
        text.textOut(run.glyphs)
        canvas.drawText(text)
        x += run.width * style.size


def _paragraph(text: str, style: Style, width: float) -> Iterator[Line]:
    levels = _levels(text)
    start = at = 0
    filled = 0.0
    for piece in _pieces(text):
        stop = at + len(piece)
        wide = _width(piece.rstrip(), style)
        if filled and filled + wide > width:
            yield _line(text, start, _end(text, start, at), levels, style)
            start, filled = at, 0.0
        if wide > width:
            for group in clusters(piece):
                step = _width(group, style)
                if filled and filled + step > width:
                    yield _line(text, start, _end(text, start, at), levels, style)
                    start, filled = at, 0.0
                at += len(group)
                filled += step
        else:
            filled += _width(piece, style)
            at = stop
    if start < len(text):
        yield _line(text, start, len(text), levels, style)


def _end(text: str, start: int, stop: int) -> int:
    """Where a broken line ends: spaces at the break are not set."""
    return start + len(text[start:stop].rstrip())


def _pieces(text: str) -> Iterator[str]:
    """Where a line may break: after spaces and hyphens, between wide East Asian characters."""
    piece = ""
    for character in text:
        wide = unicodedata.east_asian_width(character) in WIDE
        after_gap = piece and piece[-1] in " -/–—" and character != " "
        if piece and (wide or after_gap) and not unicodedata.category(character).startswith("M"):
            yield piece
            piece = ""
        piece += character
    if piece:
        yield piece


@lru_cache(maxsize=2048)
def _levels(text: str) -> tuple[int, ...]:
    """Embedding level of each character; the paragraph's own direction comes from its letters."""
    if not any(unicodedata.bidirectional(one) in {"R", "AL", "AN"} for one in text):
        return (0,) * len(text)
    storage = get_empty_storage()
    storage["base_level"] = get_base_level(text)
    storage["base_dir"] = "R" if storage["base_level"] else "L"
    get_embedding_levels(text, storage)
    explicit_embed_and_overrides(storage)
    resolve_weak_types(storage)
    resolve_neutral_types(storage, False)
    resolve_implicit_levels(storage, False)
    return _brackets_paired(text, [character["level"] for character in storage["chars"]])


def _brackets_paired(text: str, levels: list[int]) -> tuple[int, ...]:
    """Both brackets of a pair read the same way (rule N0, which the library leaves out)."""
    waiting: list[tuple[str, int]] = []
    for at, character in enumerate(text):
        if character in BRACKETS:
            waiting.append((BRACKETS[character], at))
        elif waiting and character == waiting[-1][0]:
            levels[at] = levels[waiting.pop()[1]]
    return tuple(levels)


@lru_cache(maxsize=8192)
def _width(text: str, style: Style) -> float:
    return set_line(text, style).width if text else 0.0


def _line(text: str, start: int, stop: int, levels: tuple[int, ...], style: Style) -> Line:
    parts: list[tuple[int, Letters, str]] = []
    at = start
    for group in clusters(text[start:stop]):
        font = font_of(group, style)
        if font is None:
            raise UncoveredText(group)
        level = levels[at]
        at += len(group)
        if parts and parts[-1][0] == level and parts[-1][1] is font:
            parts[-1] = (level, font, parts[-1][2] + group)
        else:
            parts.append((level, font, group))
    runs = tuple(_shape(part, font, level % 2 == 1) for level, font, part in _seen(parts))
    leftwards = bool(levels) and min(levels[start:stop] or (0,)) % 2 == 1
    return Line(runs, sum(run.width for run in runs) * style.size, leftwards)


def _seen(parts: list[tuple[int, Letters, str]]) -> list[tuple[int, Letters, str]]:
    """Runs in the order the eye meets them: rule L2 of the bidirectional algorithm."""
    order = list(parts)
    if not order:
        return order
    for level in range(max(one[0] for one in order), 0, -1):
        at = 0
        while at < len(order):
            stop = at
            while stop < len(order) and order[stop][0] >= level:
                stop += 1
            order[at:stop] = order[at:stop][::-1]
            at = max(stop, at + 1)
    return order


def _shape(text: str, font: Letters, leftwards: bool) -> Run:
    buffer = uharfbuzz.Buffer()
    buffer.cluster_level = uharfbuzz.BufferClusterLevel.MONOTONE_CHARACTERS
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if leftwards else "ltr"
    uharfbuzz.shape(font.shaper, buffer, {"liga": leftwards, "kern": True})
    infos, places = buffer.glyph_infos, buffer.glyph_positions
    ends = sorted({info.cluster for info in infos} | {len(text)})
    after = dict(pairwise(ends))
    told: set[int] = set()
    glyphs, data, said, width = "", [], [], 0.0
    for info, place in zip(infos, places, strict=True):
        source = "" if info.cluster in told else text[info.cluster : after[info.cluster]]
        told.add(info.cluster)
        character = font.character_for(info.codepoint, source)
        said.append((ord(character), source))
        advance = place.x_advance * font.per_em
        glyphs += character
        data.append(
            ShapeData(
                info.cluster,
                advance,
                place.y_advance * font.per_em,
                place.x_offset * font.per_em,
                place.y_offset * font.per_em,
                font.face.charWidths[ord(character)],
            )
        )
        width += advance / 1000
    return Run(font, ShapedStr(glyphs, shapeData=data), tuple(said), width)
