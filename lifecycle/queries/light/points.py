"""The fixed points along a walk: where light is read, what was read last, what binds there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Q, Window
from django.db.models.functions import RowNumber

from lifecycle.process.numbers import reading_order
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.queries.light.places import valid_readings
from lifecycle.queries.light.watching import CaseDue, walk
from lifecycle.queries.rights import places_below
from lifecycle.records.models import DisplayPeriod, LightReading, ObjectHazard, Place, ReadingPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class PointLine:
    """One place to hold the meter: a fixed point, or a case that has none yet.

    ``ceiling`` [lx] and ``uv_ceiling`` [µW/lm] are the lowest of what hangs in the case;
    ``period`` is what hangs at the point itself, where it is a position's own.
    """

    place: Place
    case: Place
    point: ReadingPoint | None
    period: DisplayPeriod | None
    ceiling: int | None
    last: LightReading | None
    due: date | None
    uv_ceiling: int | None = None

    @property
    def name(self) -> str:
        letter = "" if self.point is None else f", point {self.point.letter}"
        return f"{self.place.name}{letter}"


def points_along(cases: Sequence[CaseDue], at: datetime) -> list[PointLine]:
    """Return the points of some cases in their order, in two queries."""
    pks = [case.place.pk for case in cases]
    near = Q(place__in=pks) | Q(place__parent__in=pks)
    return _lines(cases, _points(near), at)


def points_in(place: Place, at: datetime) -> list[PointLine]:
    """Return every point in a place, and its cases that have none, in the order of their names."""
    inside = places_below([place.pk])
    cases = sorted(walk(at, inside=inside), key=lambda one: reading_order(one.place.name))
    return _lines(cases, _points(Q(place__in=inside)), at, beside=True)


def _points(where: Q) -> list[ReadingPoint]:
    rows = ReadingPoint.objects.filter(where, retired_on=None, place__closed_on=None)
    return list(rows.select_related("place__parent", "photo").order_by("letter", "pk"))


def _lines(
    cases: Sequence[CaseDue], points: Iterable[ReadingPoint], at: datetime, *, beside: bool = False
) -> list[PointLine]:
    """Lines case by case; with ``beside`` also the points where nothing is on display now."""
    of_case: dict[int, list[ReadingPoint]] = {case.place.pk: [] for case in cases}
    others: list[ReadingPoint] = []
    for point in points:
        found = next((pk for pk in (point.place_id, point.place.parent_id) if pk in of_case), None)
        (others if found is None else of_case[found]).append(point)
    last = _last_readings([*of_case, *(point.place_id for point in points)], at)
    lines = []
    for case in cases:
        periods = {one.period.place_id: one.period for one in case.objects}
        ceiling = min(
            (one.ceiling for one in case.objects if one.ceiling is not None), default=None
        )
        uv = min(
            (one.uv_ceiling for one in case.objects if one.uv_ceiling is not None), default=None
        )
        own: list[ReadingPoint] = sorted(
            of_case[case.place.pk],
            key=lambda one: (
                one.place_id != case.place.pk,
                reading_order(one.place.name),
                one.letter,
            ),
        )
        held: list[ReadingPoint | None] = []
        held.extend(own)
        for found_point in held or [None]:
            place = case.place if found_point is None else found_point.place
            lines.append(
                PointLine(
                    place=place,
                    case=case.place,
                    point=found_point,
                    period=periods.get(place.pk),
                    ceiling=ceiling,
                    last=last.get((place.pk, None if found_point is None else found_point.pk)),
                    due=case.reading_due,
                    uv_ceiling=uv,
                )
            )
    if beside:
        for point in sorted(others, key=lambda one: (reading_order(one.place.name), one.letter)):
            lines.append(
                PointLine(
                    place=point.place,
                    case=point.place,
                    point=point,
                    period=None,
                    ceiling=None,
                    last=last.get((point.place_id, point.pk)),
                    due=None,
                )
            )
    return lines


def _last_readings(
    place_ids: Iterable[int], at: datetime
) -> dict[tuple[int, int | None], LightReading]:
    """Return the last reading of each place and point that counts; one query."""
    rows = valid_readings(at).filter(place__in=set(place_ids), counts=True, lamp_state="show")
    nth = Window(
        RowNumber(),
        partition_by=[F("place"), F("point")],
        order_by=[F("read_at").desc(), F("pk").desc()],
    )
    return {(row.place_id, row.point_id): row for row in rows.annotate(nth=nth).filter(nth=1)}


def hazards_shown_in(*places: Place) -> list[Hazard]:
    """Return the hazards on record of everything on display in some places or below."""
    below = places_below([place.pk for place in places])
    up = DisplayPeriod.objects.filter(place__in=below, closed_at=None, struck_at=None)
    standing = ObjectHazard.objects.filter(
        museum_object__in=up.values("museum_object"), ended_on=None
    ).exclude(evidence=HazardEvidence.NONE_FOUND, hazard__in=_REAL)
    known = {Hazard(value) for value in standing.values_list("hazard", flat=True)}
    return [one for one in Hazard if one in known] or [Hazard.NONE_KNOWN]


_REAL = [one.value for one in Hazard if one is not Hazard.NONE_KNOWN]


def hazard_words_of(hazards: Iterable[Hazard]) -> str:
    """Return hazards in one line; empty when none is known."""
    named = [one.label for one in hazards if one is not Hazard.NONE_KNOWN]
    return f"Hazards of what is here: {', '.join(named)}" if named else ""
