"""Temperature and relative humidity read by hand."""

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_place, museum_day
from lifecycle.records.models import ClimateReading, Instrument, Person, Place
from lifecycle.records.models.light import TENTH, InstrumentKind

AIR_METERS = frozenset({InstrumentKind.THERMO_HYGROMETER, InstrumentKind.LOGGER})


@transaction.atomic
def read_climate(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    t_c: Decimal,
    rh: Decimal,
    read_at: datetime,
    instrument: Instrument | None = None,
    read_by: Person | None = None,
    note: str = "",
) -> ClimateReading:
    """Keep one reading of the air [°C], [% RH] at a place.

    :raises Refused: for values that can't be, or a moment in the future
    """
    allow(by=by, role=role, deed=Deed.WALK, at=at, about=about_place(place))
    t_c, rh = Decimal(t_c), Decimal(rh)
    reasons = []
    if not t_c.is_finite() or not -50 <= t_c <= 80:
        reasons.append(Reason(f"{t_c} °C is not the temperature of a gallery.", "t_c"))
    if not rh.is_finite() or not 0 <= rh <= 100:
        text = f"Relative humidity lies between 0 and 100 %; {rh} was entered."
        reasons.append(Reason(text, "rh"))
    if read_at > at:
        reasons.append(Reason("The time of the reading lies in the future.", "read_at"))
    if instrument is not None and instrument.kind not in AIR_METERS:
        text = f"{instrument.name or instrument.serial} does not measure air: choose another."
        reasons.append(Reason(text, "instrument"))
    if reasons:
        raise Refused(reasons)
    due = None if instrument is None else instrument.calibration_due
    return ClimateReading(
        place=place,
        t_c=t_c.quantize(TENTH, rounding=ROUND_HALF_UP),
        rh=rh.quantize(TENTH, rounding=ROUND_HALF_UP),
        instrument=instrument,
        read_at=read_at,
        read_by=read_by or by,
        entered_at=at,
        entered_by=by,
        meter_lapsed=due is not None and due < museum_day(read_at),
        note=note.strip(),
    ).append()
