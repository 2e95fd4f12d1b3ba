"""The scale of a picture: its ruler and the edges of the face in it, marked once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.records.models.condition import ReportFace
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.science.shapes import Point

#: Longer than any ruler laid beside an object.
LONGEST_MM = Decimal(20_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Two points of the ruler in pixels and the mm between them; edges as two opposite corners."""

    ruler: Sequence[Point] = ()
    mm: Decimal | None = None
    edges: Sequence[Point] = ()


@transaction.atomic
def mark_scale(
    *, row: ReportFace, picture: Picture, scale: Scale, by: Person, role: Role, at: datetime
) -> Picture:
    """Mark ruler and edges on a picture of this face; marked again, the earlier stays in history.

    What is signed keeps the scale that stood when it was signed.

    :raises Refused: half a ruler, no distance, points off the picture, edges without an area, a
        picture of another face
    """
    open_draft(row.report, by=by, role=role, at=at)
    kept = Picture.objects.select_for_update(of=("self",)).get(pk=picture.pk)
    reasons = list(_reasons(row, kept, scale))
    if reasons:
        raise Refused(reasons)
    (kept.ruler_x1, kept.ruler_y1), (kept.ruler_x2, kept.ruler_y2) = _pair(scale.ruler)
    kept.ruler_mm = scale.mm if scale.ruler else None
    corners = _pair(scale.edges)
    (kept.edge_left, kept.edge_top), (kept.edge_right, kept.edge_bottom) = corners
    return kept.keep(by=by, role=role, why="scale marked on the picture", at=at)


def _pair(points: Sequence[Point]) -> list[tuple[Decimal | None, Decimal | None]]:
    if not points:
        return [(None, None), (None, None)]
    return [(_tenth(x), _tenth(y)) for x, y in points]


def _tenth(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(Decimal("0.1"))


def _reasons(row: ReportFace, picture: Picture, scale: Scale) -> Iterator[Reason]:
    if picture.face_id not in {None, row.face_id}:
        text = f"This picture shows another face than “{row.face}”."
        yield Reason(text, code="condition.picture")
    if bool(scale.ruler) != (scale.mm is not None):
        text = "A scale needs both: two points of the ruler and the distance between them."
        yield Reason(text, "mm" if scale.ruler else "ruler", "condition.scale")
    if scale.mm is not None and not 0 < scale.mm <= LONGEST_MM:
        text = f"The distance must be more than 0 and at most {LONGEST_MM} mm."
        yield Reason(text, "mm", "condition.scale")
    for name, points, what in (
        ("ruler", scale.ruler, "The ruler needs two points in different places."),
        ("edges", scale.edges, "The edges need the left top and the right bottom corner."),
    ):
        if not points:
            continue
        if len(points) != 2 or _pair(points)[0] == _pair(points)[1]:
            yield Reason(what, name, "condition.scale")
        elif not all(0 <= x <= picture.width and 0 <= y <= picture.height for x, y in points):
            text = "Every point must lie on the picture: from 0 to 100 percent."
            yield Reason(text, name, "condition.scale")
        elif name == "edges" and not (
            _tenth(points[0][0]) < _tenth(points[1][0])
            and _tenth(points[0][1]) < _tenth(points[1][1])
        ):
            yield Reason(what, name, "condition.scale")
