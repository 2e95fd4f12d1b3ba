"""Dose of a face in any span, to the minute: received up to now, promised from then on."""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.planning.exposure import Exposure, Part
from lifecycle.planning.ledger import EntryKind, FaceInputs, ledger_of, lump_minute
from lifecycle.planning.lit_hours import curve_of
from lifecycle.planning.moments import minute_of
from lifecycle.planning.quantities import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanDose:
    """What one face gets in a span. Doses are in units, times in minutes.

    ``lit_minutes`` and ``public_minutes`` are those in which it is on display.
    """

    inputs: FaceInputs
    since: datetime
    until: datetime
    received: Band
    promised: Band
    assumed: int
    lit_minutes: int
    public_minutes: int
    readings: int
    lumps: int

    @property
    def dose(self) -> Band:
        return self.received + self.promised

    @property
    def assumed_percent(self) -> int:
        """Share of what was received that rests on an assumption or an estimate."""
        return 0 if not self.received.likely else round(100 * self.assumed / self.received.likely)

    @property
    def because(self) -> str:
        text = (
            f"{self.lit_minutes / 60:,.4g} lit hours on display ({self.public_minutes / 60:,.4g} "
            f"of them public), {self.readings} readings in the span"
        )
        if self.lumps:
            text += f", {self.lumps} entries charged as a lump"
        if self.promised.likely:
            text += f"; {self.promised.likely_lx_h:,} lx·h of it are still to come"
        return f"{text}."


def dose_in(inputs: FaceInputs, since: datetime, until: datetime) -> SpanDose:
    """Return the dose in [since, until). A lump counts whole, at the last minute of its span.

    :raises ValueError: if the span ends before it starts
    """
    if until < since:
        raise ValueError("The span ends before it starts.")
    ledger, first, last = ledger_of(inputs), minute_of(since), minute_of(until)
    parts = [part for row in ledger.exposures for part in _parts(row, first, last)]
    lit, public = sum(p.lit_minutes for p in parts), sum(p.public_minutes for p in parts)
    for plan in inputs.plans:
        if plan.position.timetable is None:
            continue
        start = max(first, minute_of(plan.since), ledger.now)
        end = min(last, minute_of(plan.until))
        if start < end:
            curve = curve_of(plan.position.timetable, ledger.zone)
            lit += curve.lit_minutes(start, end)
            public += curve.public_minutes(start, end)
    lumps = [row for row in ledger.charged if first <= lump_minute(row) < min(last, ledger.now)]
    assumed = sum(
        row.assumed_dose(first, min(last, row.end)) for row in ledger.exposures if row.end > first
    )
    assumed += sum(row.dose.likely for row in lumps if row.kind is EntryKind.ESTIMATE)
    read = {
        (row.stay.position.ref, reading.at, reading.level)
        for row in ledger.exposures
        for reading in row.stay.position.readings
        if max(first, row.start) <= minute_of(reading.at) < min(last, max(row.end, row.start + 1))
    }
    return SpanDose(
        inputs=inputs,
        since=since,
        until=until,
        received=ledger.spent(first, last),
        promised=ledger.promised(first, last),
        assumed=assumed,
        lit_minutes=lit,
        public_minutes=public,
        readings=len(read),
        lumps=len(lumps),
    )


def _parts(row: Exposure, first: int, last: int) -> list[Part]:
    return list(row.parts(max(first, row.start), min(last, row.plan_end)))
