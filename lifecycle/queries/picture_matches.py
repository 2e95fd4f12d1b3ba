"""Pictures of one face, and how one lies on another."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final
from uuid import UUID

from django.db.models import Q, QuerySet

from lifecycle.queries.marks import plane_of
from lifecycle.records.models.picture_matches import MatchFit, PictureMatch
from lifecycle.records.models.pictures import Picture
from lifecycle.science.common_points import Map, affine, residual, similarity, stretched
from lifecycle.science.shapes import Point

FITS: Final[Mapping[MatchFit, Callable[[Sequence[Point], Sequence[Point]], Map]]] = (
    MappingProxyType({MatchFit.SIMILARITY: similarity, MatchFit.AFFINE: affine})
)
#: The fewest points of each fit; with no more than these it is always exact.
LEAST: Final[Mapping[MatchFit, int]] = MappingProxyType(
    {MatchFit.SIMILARITY: 2, MatchFit.AFFINE: 3}
)
#: A page offers so many pictures of a face, the newest first.
MOST: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """How a picture lies on another; ``match`` is None where only the edges are laid together.

    ``residual_px`` is in pixels of the lower picture; None where the points always fit exactly.
    ``residual_mm`` is the same on the object; None where no ruler is marked on that picture.
    """

    by: Map
    match: PictureMatch | None = None
    count: int = 0
    residual_px: float | None = None
    residual_mm: float | None = None


def pictures_beside(picture: Picture) -> list[Picture]:
    """Return the other pictures of the same face, the newest first, at most 60; one query."""
    return list(_others(picture).order_by("-pk")[:MOST]) if picture.face_id is not None else []


def other_of_face(picture: Picture, uid: UUID) -> Picture | None:
    """Return one other picture of the same face by its uid."""
    return _others(picture).filter(uid=uid).first() if picture.face_id is not None else None


def _others(picture: Picture) -> QuerySet[Picture]:
    others = Picture.objects.filter(face=picture.face_id).exclude(sha256=picture.sha256)
    return others.select_related("museum_object", "face")


def laid(upper: Picture, lower: Picture) -> Laid:
    """Return how ``upper`` lies on ``lower`` by the newest match of the two; two queries.

    A match serves both ways: the points of the two pictures change places.
    """
    both = Q(upper=upper, lower=lower) | Q(upper=lower, lower=upper)
    match = (
        PictureMatch.objects.filter(both)
        .select_related("by")
        .prefetch_related("points")
        .order_by("-pk")
        .first()
    )
    return _laid(match, upper.pk, (upper.width, upper.height), lower)


def maps_onto(lower: Picture, uppers: Mapping[int, Point]) -> dict[int, Map]:
    """Return how several pictures, by id with width and height, lie on one; two queries."""
    both = Q(upper__in=list(uppers), lower=lower) | Q(upper=lower, lower__in=list(uppers))
    newest = {
        match.upper_id if match.lower_id == lower.pk else match.lower_id: match
        for match in PictureMatch.objects.filter(both).prefetch_related("points").order_by("pk")
    }
    return {pk: _laid(newest.get(pk), pk, own, lower).by for pk, own in uppers.items()}


def _laid(match: PictureMatch | None, upper_id: int, upper: Point, lower: Picture) -> Laid:
    if match is None:
        return Laid(by=stretched(upper, (lower.width, lower.height)))
    points = sorted(match.points.all(), key=lambda point: point.number)
    one = [(float(point.upper_x), float(point.upper_y)) for point in points]
    other = [(float(point.lower_x), float(point.lower_y)) for point in points]
    if match.upper_id != upper_id:
        one, other = other, one
    fit = MatchFit(match.fit)
    by = FITS[fit](one, other)
    if len(points) == LEAST[fit]:
        return Laid(by=by, match=match, count=len(points))
    apart, ruler = residual(by, one, other), plane_of(lower).ruler
    return Laid(
        by=by,
        match=match,
        count=len(points),
        residual_px=apart,
        residual_mm=apart * ruler.mm_per_pixel if ruler else None,
    )
