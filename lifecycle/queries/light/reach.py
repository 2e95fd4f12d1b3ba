"""What a light event reached: the faces on display there, with their last days as they stand now.

Nothing is stored of it: an event is a row, and every date that rests on it is computed again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from lifecycle.process.facts.light import FaceLight, ShowingLight
from lifecycle.queries.light.checks import light_of
from lifecycle.queries.rights import places_below
from lifecycle.records.models import DisplayPeriod, LightEvent, Place

INSTANT: Final = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A face on display where the light changed, with what its account says now."""

    period: DisplayPeriod
    line: FaceLight | None
    before: FaceLight | None = None
    """What it said before the change was reported, if that was asked for."""

    @property
    def last_day(self) -> date | None:
        return None if self.line is None else self.line.last_day

    @property
    def days_in_hand(self) -> int | None:
        return None if self.line is None else self.line.days_in_hand

    @property
    def days_before(self) -> int | None:
        return None if self.before is None else self.before.days_in_hand


def reached_by(place: Place, at: datetime, *, event: LightEvent | None = None) -> Sequence[Reached]:
    """Return the faces an event at a place reaches, the least days in hand first.

    With the event itself each face says too what stood before it was reported.

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
    showings = [row.showing for row in rows]
    light = light_of(showings, at)
    earlier = {} if event is None else light_of(showings, event.reported_at - INSTANT)
    found = []
    for row in rows:
        line, before = _line(light, row), _line(earlier, row)
        found.append(Reached(period=row, line=line, before=before))
    return sorted(found, key=lambda one: one.days_in_hand if one.days_in_hand is not None else 9999)


def _line(light: Mapping[int, ShowingLight], row: DisplayPeriod) -> FaceLight | None:
    lines = light[row.showing_id].faces if row.showing_id in light else ()
    return next((one for one in lines if one.face_id == row.face_id), None)
