"""Where a finding is, from its row: the mark on its picture, its size in mm, and both in words.

Everything that can be seen on the picture is said here too, for whoever can't see it and for the
text that is signed: cell of the grid, offsets from the edges, corners, length, area.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from lifecycle.records.models.condition import Observation
from lifecycle.records.models.pictures import Picture
from lifecycle.science import shapes
from lifecycle.science.scale import Rounded, Ruler, step_for
from lifecycle.science.selectors import Mark, ShapeKind, mark_from
from lifecycle.science.shapes import Frame, Point


@dataclass(frozen=True, slots=True)
class Plane:
    """A picture as one measures on it: its size in pixels, the face in it, its ruler if marked."""

    width: int
    height: int
    face: Frame
    ruler: Ruler | None
    edges_marked: bool


def figure(value: Decimal) -> str:
    """Return a number without needless zeros."""
    return f"{value.normalize():f}" if value else "0"


def plane_of(picture: Picture) -> Plane:
    """Return the plane of a picture; without marked edges the face is the whole picture."""
    width, height, ruler = picture.width, picture.height, _ruler(picture)
    sides = (picture.edge_left, picture.edge_top, picture.edge_right, picture.edge_bottom)
    marked = [float(side) for side in sides if side is not None]
    if len(marked) < len(sides):
        whole = (0.0, 0.0, float(width), float(height))
        return Plane(width, height, whole, ruler, edges_marked=False)
    left, top, right, bottom = marked
    return Plane(width, height, (left, top, right - left, bottom - top), ruler, edges_marked=True)


def _ruler(picture: Picture) -> Ruler | None:
    x1, y1, x2, y2 = picture.ruler_x1, picture.ruler_y1, picture.ruler_x2, picture.ruler_y2
    if x1 is None or y1 is None or x2 is None or y2 is None or picture.ruler_mm is None:
        return None
    return Ruler(
        start=(float(x1), float(y1)),
        end=(float(x2), float(y2)),
        mm=float(picture.ruler_mm),
        width=picture.width,
        height=picture.height,
    )


@dataclass(frozen=True, slots=True)
class Units:
    """How lengths, areas and parts are called."""

    length: str
    area: str
    part: str


SHORT = Units("mm", "mm²", "%")
FULL = Units("millimetres", "square millimetres", "percent")


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkSaid:
    """A mark in words: what it is, where, and how long or large; empty where there is no scale."""

    shape: str
    where: str
    size: str
    size_short: str
    cells: str


def said(mark: Mark, plane: Plane, units: Units = SHORT) -> MarkSaid:
    """Return a mark in words, its places from the edges of the face: in mm where there is a scale.

    Text that is signed has its units written out (``FULL``).
    """
    first, last = shapes.cells(mark.points, plane.face)
    size, short = _size(mark, plane.ruler, units)
    return MarkSaid(
        shape=mark.kind.value,
        where=_where(mark, plane, units),
        size=size,
        size_short=short,
        cells=first if first == last else f"{first}–{last}",
    )


def _where(mark: Mark, plane: Plane, units: Units) -> str:
    edges = "of the face" if plane.edges_marked else "of the picture"
    if mark.kind is ShapeKind.BOX:
        left, top, wide, high = mark.frame
        across, down = _span(wide, plane, 0, units), _span(high, plane, 1, units)
        place = _place((left, top), plane, units)
        return f"{place}, {across} wide, {down} high, from the edges {edges}"
    told = "; ".join(_place(point, plane, units) for point in mark.points)
    return f"{told}, from the edges {edges}"


def _place(point: Point, plane: Plane, units: Units) -> str:
    left, top, _, _ = plane.face
    across = _span(point[0] - left, plane, 0, units)
    down = _span(point[1] - top, plane, 1, units)
    return f"{across} from left, {down} from top"


def _span(pixels: float, plane: Plane, side: int, units: Units) -> str:
    """A distance along one side, in mm where there is a scale, else in percent of the face."""
    if plane.ruler is not None:
        return f"{figure(plane.ruler.distance(pixels).value)} {units.length}"
    part = Decimal(repr(pixels * 100 / plane.face[2 + side])).quantize(Decimal("0.01"))
    return f"{figure(part)} {units.part}"


def _size(mark: Mark, ruler: Ruler | None, units: Units) -> tuple[str, str]:
    if ruler is None or mark.kind is ShapeKind.POINT:
        return "", ""
    if mark.kind is ShapeKind.LINE:
        long = ruler.length(mark.points)
        text = _figure(long, units.length)
        return f"{text} long, {_to(long, units.length)}", text
    large = ruler.area(mark.corners)
    text = _figure(large, units.area)
    edge = ""
    if mark.kind is ShapeKind.OUTLINE:
        round_it = ruler.length(shapes.closed(mark.corners))
        edge = f"; its edge {_figure(round_it, units.length)}, {_to(round_it, units.length)}"
    return f"{text}, {_to(large, units.area)}{edge}", text


def _figure(found: Rounded, unit: str) -> str:
    if found.value == 0:
        return f"less than {figure(found.step)} {unit}"
    return f"{figure(found.value)} {unit}"


def _to(found: Rounded, unit: str) -> str:
    return f"rounded to {figure(found.step)} {unit}"


def scale_in_words(ruler: Ruler, units: Units = SHORT) -> str:
    """Return what the figures rest on, and what makes them wrong."""
    placing = step_for(ruler.placing * ruler.mm_per_pixel)
    return (
        f"{figure(Decimal(repr(ruler.mm)))} {units.length} marked on the ruler in the "
        f"picture; a point is placed to about {figure(placing)} {units.length}. Figures hold in "
        "the plane of the ruler, for a picture taken squarely."
    )


def pictures_then(pictures: Iterable[Picture], at: datetime | None) -> dict[int, Picture]:
    """Return pictures by id with ruler and edges as they stood at a moment, or as they stand.

    One query for a moment, none for now: a ruler marked after a report was signed is not in what
    was signed.
    """
    found = {picture.pk: picture for picture in pictures}
    if at is None or not found:
        return found
    then: dict[int, Any] = {}
    rows = Picture.history.filter(id__in=list(found))
    entries = rows.order_by("id", "history_date", "history_id")
    for entry in entries:
        if entry.id not in then or entry.history_date <= at:
            then[entry.id] = entry
    return {**found, **then}


@dataclass(frozen=True, slots=True)
class Marked:
    """The mark of one finding, in words, on the plane of the picture it was made on."""

    mark: Mark
    plane: Plane
    said: MarkSaid
    picture_id: int


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of several findings by the finding's id, and planes by the picture's id."""

    by_row: Mapping[int, Marked]
    planes: Mapping[int, Plane]

    def of(self, seen: Observation) -> Marked | None:
        return self.by_row.get(seen.pk)


def marks_of(
    rows: Iterable[Observation],
    *,
    pictures: Iterable[Picture | None] = (),
    at: datetime | None = None,
    units: Units = SHORT,
) -> Marks:
    """Return the marks of findings, and the planes of these pictures too; two queries at most.

    ``at``: with rulers and edges as they stood when the report was signed.

    :raises BadSelector: for a selector that was not written here
    """
    with_marks = [row for row in rows if row.selector is not None]
    known = {picture.pk: picture for picture in pictures if picture is not None}
    missing = {row.marked_on_id for row in with_marks} - set(known)
    if missing:
        known |= Picture.objects.in_bulk(missing)
    planes = {pk: plane_of(one) for pk, one in pictures_then(known.values(), at).items()}
    found = {}
    for row in with_marks:
        if row.selector is not None and row.marked_on_id is not None:
            plane = planes[row.marked_on_id]
            mark = mark_from(row.selector, width=plane.width, height=plane.height)
            found[row.pk] = Marked(mark, plane, said(mark, plane, units), row.marked_on_id)
    return Marks(found, planes)
