"""Marks on a picture and the selectors they are stored as (W3C Web Annotation Data Model, 4.2).

A box is a ``FragmentSelector`` after Media Fragments URI 1.0 (``xywh=pixel:`` with whole pixels:
its grammar knows no fractions). The model has no selector for a point and none for a line, so a
point is an ``SvgSelector`` with a circle as wide as a point can be placed, a line one with a
polyline, an outline one with a polygon. The drawing's ``viewBox`` is the whole picture in
pixels, so that scaled to the picture it covers the marked place (model, 4.2.7).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from typing import Any, Final
from xml.etree import ElementTree

from lifecycle.science import shapes
from lifecycle.science.scale import PLACING
from lifecycle.science.shapes import Frame, Point

MEDIA_FRAGMENTS: Final = "http://www.w3.org/TR/media-frags/"
SVG: Final = "http://www.w3.org/2000/svg"
#: More corners than anybody sets by hand.
MOST_POINTS: Final = 500


class ShapeKind(StrEnum):
    """What is drawn: the closed list of the record."""

    POINT = "point"
    BOX = "box"
    LINE = "line"
    OUTLINE = "outline"


class BadSelector(ValueError):
    """A selector that is none of ours, or does not say what its type must say."""


class BadMark(ValueError):
    """A mark that can't be drawn: too few points, off the picture, crossing itself."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A shape on a picture of ``width`` by ``height`` pixels.

    ``points`` are its corners in pixels: one for a point, two opposite corners for a box (left
    top, right bottom, whole pixels), two or more for a line, three or more for an outline.
    Make it with ``mark_of``, which tidies and checks.
    """

    kind: ShapeKind
    points: tuple[Point, ...]
    width: int
    height: int

    @property
    def frame(self) -> Frame:
        """The smallest upright frame around it."""
        return shapes.envelope(self.points)

    @property
    def corners(self) -> tuple[Point, ...]:
        """The points of its path; a box has four."""
        if self.kind is not ShapeKind.BOX:
            return self.points
        (left, top), (right, bottom) = self.points
        return (left, top), (right, top), (right, bottom), (left, bottom)

    @property
    def at(self) -> Point:
        """Where a line from its number ends."""
        if self.kind is ShapeKind.LINE:
            return shapes.halfway(self.points)
        return self.points[0] if self.kind is ShapeKind.POINT else shapes.middle(self.corners)

    def percent(self, point: Point) -> Point:
        """A point of it in percent of the picture's width and height."""
        return point[0] * 100 / self.width, point[1] * 100 / self.height


def mark_of(kind: ShapeKind, points: Sequence[Point], *, width: int, height: int) -> Mark:
    """Return a mark with its points brought to a tenth of a pixel, a box to whole pixels.

    A point set twice in a row (a double tap) counts once; an outline's closing point is dropped.

    :raises BadMark: in words for the person who drew it
    """
    if any(not (isfinite(x) and isfinite(y)) for x, y in points):
        raise BadMark("A place on the picture needs two numbers.")
    if any(not (-0.05 <= x <= width + 0.05 and -0.05 <= y <= height + 0.05) for x, y in points):
        raise BadMark("Every point must lie on the picture: from 0 to 100 percent.")
    if len(points) > MOST_POINTS:
        raise BadMark(f"A mark has at most {MOST_POINTS} points; this one has {len(points)}.")
    if kind is ShapeKind.BOX:
        return _box(points, width, height)
    tidy: list[Point] = []
    for x, y in points:
        spot = round(min(max(x, 0), width), 1), round(min(max(y, 0), height), 1)
        if not tidy or tidy[-1] != spot:
            tidy.append(spot)
    if kind is ShapeKind.OUTLINE and len(tidy) > 1 and tidy[0] == tidy[-1]:
        tidy.pop()
    _check(kind, tidy)
    return Mark(kind, tuple(tidy), width, height)


def _box(points: Sequence[Point], width: int, height: int) -> Mark:
    if len(points) != 2:
        raise BadMark("A box needs two opposite corners.")
    left, top, wide, high = shapes.envelope(points)
    if wide <= 0 or high <= 0:
        raise BadMark("A box needs a width and a height.")
    x, y = min(round(left), width - 1), min(round(top), height - 1)
    right, bottom = max(x + 1, round(left + wide)), max(y + 1, round(top + high))
    corners = (float(x), float(y)), (float(min(right, width)), float(min(bottom, height)))
    return Mark(ShapeKind.BOX, corners, width, height)


def _check(kind: ShapeKind, points: Sequence[Point]) -> None:
    if kind is ShapeKind.POINT and len(points) != 1:
        raise BadMark("A point is one place on the picture.")
    if kind is ShapeKind.LINE and len(points) < 2:
        raise BadMark("A line needs two points or more, in different places.")
    if kind is ShapeKind.OUTLINE:
        if len(points) < 3:
            raise BadMark("An outline needs three corners or more.")
        if shapes.crosses_itself(points):
            raise BadMark("The outline crosses itself: set its corners in order, round the place.")


def selector_of(mark: Mark) -> dict[str, str]:
    """Return the mark as a selector of the model, ready for JSON."""
    if mark.kind is ShapeKind.BOX:
        left, top, wide, high = (round(side) for side in mark.frame)
        return {
            "type": "FragmentSelector",
            "conformsTo": MEDIA_FRAGMENTS,
            "value": f"xywh=pixel:{left},{top},{wide},{high}",
        }
    path = " ".join(f"{_number(x)},{_number(y)}" for x, y in mark.points)
    if mark.kind is ShapeKind.POINT:
        x, y = mark.points[0]
        reach = max(1.0, round(PLACING * max(mark.width, mark.height), 1))
        shape = f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(reach)}"/>'
    elif mark.kind is ShapeKind.LINE:
        shape = f'<polyline points="{path}"/>'
    else:
        shape = f'<polygon points="{path}"/>'
    drawing = f'<svg xmlns="{SVG}" viewBox="0 0 {mark.width} {mark.height}">{shape}</svg>'
    return {"type": "SvgSelector", "value": drawing}


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def mark_from(selector: Mapping[str, Any], *, width: int, height: int) -> Mark:
    """Return the mark a selector of ours stands for, on a picture of this size.

    :raises BadSelector: a type or a shape we don't write, or one off the picture
    """
    kinds = {"FragmentSelector": _from_fragment, "SvgSelector": _from_svg}
    read = kinds.get(str(selector.get("type")))
    value = selector.get("value")
    if read is None or not isinstance(value, str):
        raise BadSelector(f"{selector.get('type')} is no selector that is read here.")
    kind, points = read(value)
    try:
        return mark_of(kind, points, width=width, height=height)
    except BadMark as bad:
        raise BadSelector(str(bad)) from bad


def _from_fragment(value: str) -> tuple[ShapeKind, list[Point]]:
    name, _, sides = value.partition("=")
    sides = sides.removeprefix("pixel:")
    parts = sides.split(",")
    if name != "xywh" or len(parts) != 4 or not all(part.isdecimal() for part in parts):
        raise BadSelector(f"“{value}” is no xywh fragment in whole pixels.")
    left, top, wide, high = (int(part) for part in parts)
    return ShapeKind.BOX, [(left, top), (left + wide, top + high)]


def _from_svg(value: str) -> tuple[ShapeKind, list[Point]]:
    if "<!" in value:
        raise BadSelector("A selector's drawing holds no declarations.")
    try:
        drawing = ElementTree.fromstring(value)  # noqa: S314 - declarations are refused above
    except ElementTree.ParseError as bad:
        raise BadSelector(f"The drawing is no well-formed XML: {bad}.") from bad
    if drawing.tag != f"{{{SVG}}}svg" or len(drawing) != 1:
        raise BadSelector("A selector's drawing holds one shape.")
    shape = drawing[0]
    try:
        if shape.tag == f"{{{SVG}}}circle":
            return ShapeKind.POINT, [(float(shape.attrib["cx"]), float(shape.attrib["cy"]))]
        kinds = {f"{{{SVG}}}polyline": ShapeKind.LINE, f"{{{SVG}}}polygon": ShapeKind.OUTLINE}
        numbers = [float(part) for part in shape.attrib["points"].replace(",", " ").split()]
        return kinds[shape.tag], list(zip(numbers[::2], numbers[1::2], strict=True))
    except (KeyError, ValueError) as bad:
        raise BadSelector("The drawing is no circle, polyline or polygon of numbers.") from bad
