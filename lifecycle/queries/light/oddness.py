"""What is usual at a place: the last reading there, and the ceiling of what hangs there."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from lifecycle.planning.lit_hours import LampState
from lifecycle.queries.light.places import valid_readings
from lifecycle.queries.light.watching import case_ceiling
from lifecycle.records.models import Place


@dataclass(frozen=True, slots=True)
class Usual:
    """The last reading in the same lamp state [lx] and the lowest ceiling there [lx]."""

    last: Decimal | None
    ceiling: int | None
    set_by: tuple[str, ...]


def usual_at(place: Place, at: datetime, state: LampState) -> Usual:
    """Return what a new reading at ``place`` is compared with."""
    near = [place.pk] if place.parent_id is None else [place.pk, place.parent_id]
    last = (
        valid_readings(at)
        .filter(place__in=near, lamp_state=state.value, counts=True)
        .order_by("-read_at", "-pk")
        .first()
    )
    ceiling = case_ceiling(place, at)
    return Usual(None if last is None else last.lux, ceiling.lux, ceiling.set_by)
