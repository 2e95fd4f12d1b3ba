"""The light accounts of the whole collection at once, the least left first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from lifecycle.planning.many import FaceSum, Many
from lifecycle.process.rights import PersonFacts
from lifecycle.queries.light.accounts import LuxHours
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.rights import may_see_objects
from lifecycle.records.models import Face, MuseumObject


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceInCollection:
    """One face with its figures; ``last_day`` is the account's alone, for a face that is up."""

    face: Face
    sensitivity: str
    allowance: int | None
    spent: LuxHours
    booked: LuxHours
    left: LuxHours | None
    lifetime: LuxHours
    last_day: date | None
    up: bool

    @property
    def left_percent(self) -> int | None:
        """What is left, in percent of the allowance; less than nought when it is overdrawn."""
        if self.left is None or not self.allowance:
            return None
        return round(100 * self.left.likely / self.allowance)


def collection_accounts(
    facts: PersonFacts, at: datetime, *, asked: str = "", up_only: bool = False
) -> list[FaceInCollection]:
    """Return the account of every face the person may see, in a fixed number of queries.

    Those of which nothing can be said come first, then the smallest share left.

    :param asked: part of an object number or title
    """
    objects = may_see_objects(facts, MuseumObject.objects.all())
    if asked:
        objects = objects.filter(Q(object_number__icontains=asked) | Q(title__icontains=asked))
    faces = list(
        Face.objects.filter(museum_object__in=objects.values("pk"))
        .select_related("museum_object")
        .order_by("museum_object__object_number", "order", "pk")
    )
    gathered = Gathered(faces, at)
    if up_only:
        faces = [face for face in faces if _is_up(gathered, face)]
    sums = Many([gathered.inputs(face) for face in faces]).sums()
    rows = [_row(gathered, face, one) for face, one in zip(faces, sums, strict=True)]
    return sorted(rows, key=_least_left)


def _is_up(gathered: Gathered, face: Face) -> bool:
    return any(
        row.closed_at is None and (row.face_id == face.pk or gathered.shares_light(face))
        for row in gathered.periods[face.museum_object_id]
    )


def _row(gathered: Gathered, face: Face, found: FaceSum) -> FaceInCollection:
    limits = gathered.class_limits(gathered.faces[face.pk])
    return FaceInCollection(
        face=face,
        sensitivity="" if limits is None else limits.label,
        allowance=None if limits is None else limits.allowance_lx_h,
        spent=LuxHours.of(found.spent),
        booked=LuxHours.of(found.booked),
        left=None if found.left is None else LuxHours.of(found.left),
        lifetime=LuxHours.of(found.lifetime),
        last_day=found.last_day,
        up=_is_up(gathered, face),
    )


def _least_left(row: FaceInCollection) -> tuple[bool, float]:
    share = row.left_percent
    return share is not None, 0 if share is None else share


def with_no_figure(rows: Sequence[FaceInCollection]) -> int:
    """Return of how many faces nothing can be said."""
    return sum(row.left is None for row in rows)
