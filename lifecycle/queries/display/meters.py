"""Which meters and reading points are at hand for a position."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lifecycle.records.models import Instrument, Place, ReadingPoint
from lifecycle.records.models.light import InstrumentKind


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterKit:
    """Meters that read lux, and the points of some places and of what those lie in."""

    meters: Sequence[Instrument]
    points: Sequence[ReadingPoint]

    def points_of(self, place: Place | None) -> list[ReadingPoint]:
        """Return the points of a position and of its case."""
        if place is None:
            return []
        here = (place.pk, place.parent_id)
        return [point for point in self.points if point.place_id in here]


def meter_kit(places: Iterable[Place]) -> MeterKit:
    """Read the meters in use and the points of these places, in two queries."""
    near = {pk for place in places for pk in (place.pk, place.parent_id) if pk is not None}
    lux = [InstrumentKind.LUX.value, InstrumentKind.LUX_AND_UV.value]
    return MeterKit(
        meters=list(
            Instrument.objects.filter(retired_on=None, kind__in=lux).order_by("name", "pk")
        ),
        points=list(
            ReadingPoint.objects.filter(place__in=near, retired_on=None).order_by("place", "letter")
        ),
    )
