"""Plans of galleries: the newest drawing of a place, and which reading points lie where on it."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from django.db.models import Exists, OuterRef, QuerySet

from lifecycle.process.numbers import reading_order
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import places_below
from lifecycle.records.models import Place, PlacePlan, PlanSpot, ReadingPoint

#: What a plan can be drawn of.
DRAWN: Final = frozenset({PlaceKind.BUILDING, PlaceKind.ROOM, PlaceKind.CASE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A reading point on a plan: per cent from its left and top, and what stands beside it."""

    point: ReadingPoint
    label: str
    across: float
    down: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOnRecord:
    """The newest plan of a place with the points that lie on it."""

    plan: PlacePlan
    spots: Sequence[Spot]
    earlier: Sequence[PlacePlan] = ()

    def of(self, points: Iterable[ReadingPoint]) -> Sequence[Spot]:
        """Only the spots of some points; their labels stay those of the whole plan."""
        wanted = {point.pk for point in points}
        return [spot for spot in self.spots if spot.point.pk in wanted]


def newest_plans() -> "QuerySet[PlacePlan]":
    """Return the plans that count: of each place the one with the highest number."""
    later = PlacePlan.objects.filter(place=OuterRef("place"), number__gt=OuterRef("number"))
    return PlacePlan.objects.filter(~Exists(later))


def plans_with(points: Iterable[ReadingPoint]) -> list[PlanOnRecord]:
    """Return every plan that shows one of the points, with all its points; one query."""
    pks = [point.pk for point in points]
    on = PlanSpot.objects.filter(point__in=pks, across__isnull=False).values("plan")
    return _lettered(newest_plans().filter(pk__in=on))


def plan_of(place: Place) -> PlanOnRecord | None:
    """Return the newest plan of one place, with whatever lies on it; two queries."""
    rows = PlacePlan.objects.filter(place=place).select_related("picture", "place")
    plans = list(rows.order_by("-number"))
    if not plans:
        return None
    found = _lettered(PlacePlan.objects.filter(pk=plans[0].pk))
    spots = found[0].spots if found else ()
    return PlanOnRecord(plan=plans[0], spots=spots, earlier=plans[1:])


def _lettered(plans: "QuerySet[PlacePlan]") -> list[PlanOnRecord]:
    rows = PlanSpot.objects.filter(
        plan__in=plans.values("pk"),
        across__isnull=False,
        point__retired_on=None,
        point__place__closed_on=None,
    ).select_related("plan__picture", "plan__place", "point__place__parent", "point__photo")
    spots: dict[int, list[PlanSpot]] = defaultdict(list)
    plan_by_pk: dict[int, PlacePlan] = {}
    for row in rows.order_by("plan", "pk"):
        spots[row.plan_id].append(row)
        plan_by_pk[row.plan_id] = row.plan
    return [
        PlanOnRecord(plan=plan_by_pk[pk], spots=_spots(own))
        for pk, own in sorted(
            spots.items(), key=lambda pair: reading_order(plan_by_pk[pair[0]].place.name)
        )
    ]


def _spots(rows: Sequence[PlanSpot]) -> list[Spot]:
    labels = labels_of([row.point for row in rows])
    found = [
        Spot(
            point=row.point,
            label=labels[row.point_id],
            across=float(row.across or 0),
            down=float(row.down or 0),
        )
        for row in rows
    ]
    return sorted(found, key=lambda spot: reading_order(spot.label))


def labels_of(points: Sequence[ReadingPoint]) -> dict[int, str]:
    """Return what stands beside each point on one plan: its letter, with its place if need be.

    Where two points on the plan have the same letter, all are called with their place: 'N4 A', or
    'N2b' where the place's own name ends in the letter.
    """
    letters = Counter(point.letter for point in points)
    alone = all(count == 1 for count in letters.values())
    return {point.pk: point.letter if alone else _with_place(point) for point in points}


def _with_place(point: ReadingPoint) -> str:
    name, letter = point.place.name, point.letter
    ends = name.lower().endswith(letter.lower()) and name[: -len(letter)][-1:].isdigit()
    return name if ends else f"{name} {letter}"


def points_for(place: Place) -> list[ReadingPoint]:
    """Return the points in use that can be put on a plan of this place: its own and all below."""
    inside = places_below([place.pk])
    rows = ReadingPoint.objects.filter(
        place__in=inside, retired_on=None, place__closed_on=None
    ).select_related("place__parent", "photo")
    return sorted(rows, key=lambda row: (reading_order(row.place.name), row.letter, row.pk))


def earlier_spots(plan: PlacePlan) -> dict[int, tuple[float, float]]:
    """Return where the points lay on the plan before this one, as a first proposal."""
    rows = PlanSpot.objects.filter(
        plan__place=plan.place_id, plan__number=plan.number - 1, across__isnull=False
    )
    return {row.point_id: (float(row.across or 0), float(row.down or 0)) for row in rows}
