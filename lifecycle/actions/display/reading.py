"""The lux and UV that belong to an install check, a turn or a take-down, kept as a reading."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Final

from lifecycle.actions.light import take_reading
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Face,
    Instrument,
    LightReading,
    Person,
    Place,
    ReadingPoint,
    Showing,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterSays:
    """What the meter showed, lamps in show state: lux [lx], UV [µW/lm].

    ``sure`` says that an odd value was looked at again and stands.
    """

    lux: Decimal | None = None
    uv: Decimal | None = None
    point: ReadingPoint | None = None
    meter: Instrument | None = None
    sure: bool = False


NOTHING_READ: Final = MeterSays()


def keep_reading(
    *,
    said: MeterSays,
    place: Place,
    showing: Showing,
    face: Face | None,
    read_at: datetime,
    by: Person,
    role: Role,
    at: datetime,
    at_take_down: bool = False,
) -> LightReading | None:
    """Write the reading into the light record of the place; nothing when nothing was read."""
    if said.lux is None:
        return None
    try:
        return take_reading(
            by=by,
            role=role,
            at=at,
            place=place,
            lux=said.lux,
            uv=said.uv,
            read_at=read_at,
            point=said.point,
            instrument=said.meter,
            face=face,
            showing=showing,
            sure=said.sure,
            at_take_down=at_take_down,
        )
    except Refused as refused:
        # The forms of display call the instrument a meter, as people at the case do.
        raise Refused(
            [
                replace(reason, field="meter" if reason.field == "instrument" else reason.field)
                for reason in refused.reasons
            ]
        ) from refused
