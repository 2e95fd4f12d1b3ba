"""What is usual at a place: the last reading there, and the ceiling of what hangs there."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from lifecycle.planning.lit_hours import LampState
from lifecycle.queries.light.places import valid_readings
from lifecycle.queries.light.watching import strictest_in, walk
from lifecycle.queries.rights import places_below
from lifecycle.records.models import LightReading, Place


@dataclass(frozen=True, slots=True)
class Usual:
    """The last reading in the same lamp state [lx], the lowest ceilings there [lx], [µW/lm]."""

    last: Decimal | None
    ceiling: int | None
    set_by: tuple[str, ...]
    uv_ceiling: int | None = None


def readings_near(place: Place, at: datetime, state: LampState) -> QuerySet[LightReading]:
    """Return what was read at a place, or where it lies, in one lamp state, oldest first.

    Corrected readings and those that do not count are left out.
    """
    near = [place.pk] if place.parent_id is None else [place.pk, place.parent_id]
    return valid_readings(at).filter(place__in=near, lamp_state=state.value, counts=True)


def last_uv_at(place: Place, at: datetime, state: LampState) -> Decimal | None:
    """Return the UV [µW/lm] read last at a place in one lamp state, if it was ever read."""
    rows = readings_near(place, at, state).exclude(uv=None).order_by("-read_at", "-pk")
    return rows.values_list("uv", flat=True).first()


def usual_at(place: Place, at: datetime, state: LampState) -> Usual:
    """Return what a new reading at ``place`` is compared with."""
    last = readings_near(place, at, state).order_by("-read_at", "-pk").first()
    cases = walk(at, inside=places_below([place.pk]))
    ceiling = strictest_in(cases)
    uv = [one.uv_ceiling for case in cases for one in case.objects if one.uv_ceiling is not None]
    return Usual(
        None if last is None else last.lux, ceiling.lux, ceiling.set_by, min(uv, default=None)
    )
