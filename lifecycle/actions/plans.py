"""Plans of galleries: a drawing with who made it and when, and the reading points put on it."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.pictures import store_picture
from lifecycle.actions.places import point_deed
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.pictures.kinds import Source
from lifecycle.exchange.pictures.reading import CheckedPicture
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.plans import DRAWN, points_for
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person, Place, PlacePlan, PlanSpot
from lifecycle.records.models.pictures import PicturePurpose

Percent = tuple[Decimal, Decimal]


@transaction.atomic
def keep_plan(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    picture: Source | CheckedPicture,
    picture_name: str,
    drawn_by: str,
    drawn_on: date,
) -> PlacePlan:
    """Keep a drawing of a place; it takes over from the one before, which stays on record.

    No point lies on it yet: where the points lay on the plan before is only proposed.

    :raises NotAllowed: if this role keeps no reading points
    :raises Refused: no plan is drawn of such a place, nobody named, a day to come, no picture
    """
    allow(by=by, role=role, deed=point_deed(role), at=at)
    stored = Place.objects.select_for_update().get(pk=place.pk)
    drawn_by = drawn_by.strip()
    reasons = []
    if PlaceKind(stored.kind) not in DRAWN:
        reasons.append(Reason("A plan is drawn of a building, a room or a case.", "picture"))
    if not drawn_by:
        reasons.append(Reason("Name who drew the plan.", "drawn_by"))
    if drawn_on > museum_day(at):
        reasons.append(Reason("The plan can't have been drawn after today.", "drawn_on"))
    if reasons:
        raise Refused(reasons)
    last = stored.plans.order_by("-number").first()
    return PlacePlan(
        place=stored,
        number=1 if last is None else last.number + 1,
        picture=store_picture(
            data=picture,
            name=picture_name,
            purpose=PicturePurpose.PLAN,
            by=by,
            role=role,
            at=at,
        ),
        drawn_by=drawn_by,
        drawn_on=drawn_on,
        kept_by=by,
        role=role,
        kept_at=at,
    ).append()


@transaction.atomic
def put_points_on_plan(
    *,
    by: Person,
    role: Role,
    at: datetime,
    plan: PlacePlan,
    spots: Mapping[int, Percent | None],
) -> int:
    """Put reading points on a plan, or take them off; return how many lie on it now.

    :param spots: by the point's primary key, per cent from the left and top of the drawing, or
        None for a point that does not lie on it; points that are not named stay where they are
    :raises NotAllowed: if this role keeps no reading points
    :raises Refused: there is a newer plan, a point of another place, or one beside the drawing
    """
    allow(by=by, role=role, deed=point_deed(role), at=at)
    stored = PlacePlan.objects.select_for_update().get(pk=plan.pk)
    if stored.place.plans.filter(number__gt=stored.number).exists():
        raise Refused("There is a newer plan of this place: put the points on that one.")
    inside = {point.pk: point for point in points_for(stored.place)}
    reasons = []
    for pk, spot in spots.items():
        if pk not in inside:
            raise Refused("A point that is retired, or in another place, can't lie on this plan.")
        for axis, figure in zip(("across", "down"), spot or (), strict=False):
            if not 0 <= figure <= 100:
                point = inside[pk]
                text = f"{point.place.name} {point.letter} lies beside the plan: 0 to 100 %."
                reasons.append(Reason(text, f"{axis}_{pk}"))
    if reasons:
        raise Refused(reasons)
    rows = {row.point_id: row for row in stored.spots.select_for_update()}
    for pk, spot in spots.items():
        row = rows.get(pk)
        if row is None and spot is None:
            continue
        row = row or PlanSpot(plan=stored, point=inside[pk])
        across, down = spot or (None, None)
        if row.pk is not None and (row.across, row.down) == (across, down):
            continue
        row.across, row.down = across, down
        why = "Put on the plan." if spot else "Taken off the plan."
        row.keep(by=by, role=role, why=why, at=at)
    return stored.spots.filter(across__isnull=False).count()
