"""Marks that were made on an earlier picture of a face, on the picture that is shown now."""

from collections.abc import Iterable, Mapping

from lifecycle.queries.marks import Marked, Marks
from lifecycle.queries.picture_matches import maps_onto
from lifecycle.records.models.condition import Observation
from lifecycle.records.models.pictures import Picture
from lifecycle.science import shapes
from lifecycle.science.common_points import Map
from lifecycle.science.selectors import Mark, ShapeKind


def lying_on(picture: Picture, rows: Iterable[Observation], marks: Marks) -> dict[int, Map]:
    """Return how the earlier pictures that findings were marked on lie on this one, by their id.

    By the common points that somebody marked; without them edge upon edge. No query where every
    mark was made on this picture, else two.
    """
    found = [one for row in rows if (one := marks.of(row)) is not None]
    earlier = {
        one.picture_id: (float(one.plane.width), float(one.plane.height))
        for one in found
        if one.picture_id != picture.pk
    }
    return maps_onto(picture, earlier) if earlier else {}


def laid_right(found: Marked, picture: Picture, maps: Mapping[int, Map]) -> Mark:
    """Return a mark as it lies on this picture: where the map brings it, kept inside it."""
    by = maps.get(found.picture_id)
    if by is None:
        return found.mark
    width, height = float(picture.width), float(picture.height)
    corners = [by.at(point) for point in found.mark.corners]
    held = [(min(max(x, 0.0), width), min(max(y, 0.0), height)) for x, y in corners]
    if found.mark.kind is ShapeKind.BOX:
        left, top, wide, high = shapes.envelope(held)
        held = [(left, top), (left + wide, top + high)]
    return Mark(found.mark.kind, tuple(held), picture.width, picture.height)
