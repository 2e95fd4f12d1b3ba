"""The mark of a finding as it is drawn: in per cent of the picture, for paper and for screens."""

from collections.abc import Mapping
from types import MappingProxyType

from lifecycle.papers.drawing.numbered_picture import mark_in_zone
from lifecycle.papers.words.parts import MarkWords
from lifecycle.queries.earlier_marks import laid_right
from lifecycle.queries.marks import Marks, Plane
from lifecycle.records.models import Observation, Picture
from lifecycle.science.common_points import Map
from lifecycle.science.selectors import ShapeKind
from lifecycle.science.shapes import Frame, Point


def grid_of(plane: Plane | None) -> Frame | None:
    """The face in its picture in per cent; none where its edges are not marked."""
    if plane is None or not plane.edges_marked:
        return None
    left, top, width, height = plane.face
    across, down = 100 / plane.width, 100 / plane.height
    return (
        round(left * across, 2),
        round(top * down, 2),
        round(width * across, 2),
        round(height * down, 2),
    )


def mark_words(
    row: Observation,
    marks: Marks,
    *,
    on: Picture | None,
    grid: Frame | None = None,
    maps: Mapping[int, Map] = MappingProxyType({}),
) -> MarkWords | None:
    """Where a finding is drawn on the picture ``on``; none for a clock position alone.

    A mark made on an earlier picture lies where ``maps`` (``lying_on``) brings it, and says so.
    """
    number = row.feature.number
    found = marks.of(row)
    if found is None:
        return _without_mark(row, number, grid)
    mark = laid_right(found, on, maps) if on is not None else found.mark
    corners = tuple(_two(mark.percent(point)) for point in mark.points)
    left, top, width, height = mark.frame
    is_path = mark.kind in {ShapeKind.LINE, ShapeKind.OUTLINE}
    return MarkWords(
        number=number,
        x=round(left * 100 / mark.width, 2),
        y=round(top * 100 / mark.height, 2),
        width=round(width * 100 / mark.width, 2),
        height=round(height * 100 / mark.height, 2),
        path=corners if is_path else (),
        closed=mark.kind is ShapeKind.OUTLINE,
        at=_two(mark.percent(mark.at)) if is_path else None,
        earlier=on is not None and on.pk != row.marked_on_id,
    )


def _two(point: Point) -> Point:
    return round(point[0], 2), round(point[1], 2)


def _without_mark(row: Observation, number: int, grid: Frame | None) -> MarkWords | None:
    if row.box_left is not None and row.box_top is not None:
        return MarkWords(
            number=number,
            x=float(row.box_left),
            y=float(row.box_top),
            width=float(row.box_width or 0),
            height=float(row.box_height or 0),
        )
    return mark_in_zone(number, row.zone, grid) if row.zone else None
