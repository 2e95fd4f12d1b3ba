"""What a light event reached: the faces on display there, with their last days as they stand now.

Nothing is stored of it: an event is a row, and every date that rests on it is computed again.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.process.facts.light import FaceLight
from lifecycle.queries.light.checks import light_of
from lifecycle.queries.rights import places_below
from lifecycle.records.models import DisplayPeriod, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A face on display where the light changed, with what its account says now."""

    period: DisplayPeriod
    line: FaceLight | None

    @property
    def last_day(self) -> date | None:
        return None if self.line is None else self.line.last_day

    @property
    def days_in_hand(self) -> int | None:
        return None if self.line is None else self.line.days_in_hand


def reached_by(place: Place, at: datetime) -> Sequence[Reached]:
    """Return the faces an event at a place reaches, the least days in hand first.

    An event at a position reaches that position, at a case all of the case, at a room all of the
    room. A fixed number of queries, however many hang there.
    """
    rows = list(
        DisplayPeriod.objects.filter(
            place__in=places_below([place.pk]), closed_at=None, struck_at=None, opened_at__lte=at
        )
        .select_related("showing", "museum_object", "face", "place")
        .order_by("museum_object__object_number", "pk")
    )
    light = light_of([row.showing for row in rows], at)
    found = []
    for row in rows:
        lines = light[row.showing_id].faces if row.showing_id in light else ()
        line = next((one for one in lines if one.face_id == row.face_id), None)
        found.append(Reached(period=row, line=line))
    return sorted(found, key=lambda one: one.days_in_hand if one.days_in_hand is not None else 9999)
