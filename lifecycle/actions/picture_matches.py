"""Say how one picture of a face lies on another, by points marked in both."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.picture_matches import FITS, LEAST
from lifecycle.queries.rights import about_object
from lifecycle.records.models.people import Person
from lifecycle.records.models.picture_matches import MatchedPoint, MatchFit, PictureMatch
from lifecycle.records.models.pictures import Picture
from lifecycle.science.common_points import NoFit
from lifecycle.science.shapes import Point

MOST_POINTS: Final = 4


@transaction.atomic
def match_pictures(
    *,
    upper: Picture,
    lower: Picture,
    fit: MatchFit,
    points: Sequence[tuple[Point, Point]],
    by: Person,
    role: Role,
    at: datetime,
) -> PictureMatch:
    """Keep two to four points, each in pixels of the upper and of the lower picture.

    :raises NotAllowed: if this person may not examine the object
    :raises Refused: pictures of different faces, too few points, a point beside its picture, or
        points that can't tell how the pictures lie
    """
    museum_object = lower.museum_object
    if museum_object is None or lower.face_id is None or upper.face_id != lower.face_id:
        raise Refused("Only pictures of the same face are laid over each other.")
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(museum_object))
    if upper.pk == lower.pk:
        raise Refused("A picture is not laid over itself.")
    reasons = list(_beside(points, upper, lower))
    if len(points) < LEAST[fit] or len(points) > MOST_POINTS:
        text = f"Mark {LEAST[fit]} to {MOST_POINTS} points in both pictures."
        reasons.append(Reason(text, "fit", "match.points"))
    if not reasons:
        try:
            FITS[fit]([one for one, _ in points], [other for _, other in points])
        except NoFit as nothing:
            reasons.append(Reason(str(nothing), "fit", "match.points"))
    if reasons:
        raise Refused(reasons)
    held = Picture.objects.select_for_update().get(pk=lower.pk)
    match = PictureMatch(upper=upper, lower=held, fit=fit, by=by, role=role, at=at).append()
    for number, ((upper_x, upper_y), (lower_x, lower_y)) in enumerate(points, 1):
        MatchedPoint(
            match=match,
            number=number,
            upper_x=_tenth(upper_x),
            upper_y=_tenth(upper_y),
            lower_x=_tenth(lower_x),
            lower_y=_tenth(lower_y),
        ).append()
    return match


def _tenth(pixels: float) -> Decimal:
    return Decimal(pixels).quantize(Decimal("0.1"))


def _beside(points: Sequence[tuple[Point, Point]], upper: Picture, lower: Picture) -> list[Reason]:
    """A reason for every point that lies beside its picture."""
    reasons = []
    for number, pair in enumerate(points, 1):
        for name, (x, y), picture in zip(("upper", "lower"), pair, (upper, lower), strict=True):
            for axis, value, most in (("x", x, picture.width), ("y", y, picture.height)):
                if not 0 <= value <= most:
                    text = f"Point {number} lies beside the picture: 0 to {most} px here."
                    reasons.append(Reason(text, f"{name}_{axis}{number}", "match.beside"))
    return reasons
