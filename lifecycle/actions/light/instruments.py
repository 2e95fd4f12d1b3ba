"""Meters and loggers with their calibration."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models import Instrument, Person
from lifecycle.records.models.light import InstrumentKind


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentDetails:
    """What is known of one instrument."""

    kind: InstrumentKind
    name: str
    serial: str
    calibrated_on: date | None = None
    calibration_due: date | None = None
    certificate: str = ""
    correction_factor: Decimal = Decimal(1)
    limits: str = ""
    retired_on: date | None = None


def instrument_deed(role: Role) -> Deed:
    """Stewards send meters to calibration; conservators use them."""
    return Deed.STEWARD if role is Role.STEWARD else Deed.EXAMINE


def _faults(details: InstrumentDetails, besides: Instrument | None) -> Iterator[Reason]:
    if not details.name.strip():
        yield Reason("Name the instrument as people call it.", "name")
    if not details.serial.strip():
        yield Reason("Enter the serial number as it stands on the instrument.", "serial")
    twins = Instrument.objects.filter(serial__iexact=details.serial.strip())
    if besides is not None:
        twins = twins.exclude(pk=besides.pk)
    if twins.exists():
        yield Reason(f"An instrument {details.serial.strip()} is on record already.", "serial")
    if not details.correction_factor.is_finite() or details.correction_factor <= 0:
        yield Reason("The correction factor is a number above nought.", "correction_factor")
    on, due = details.calibrated_on, details.calibration_due
    if on is not None and due is not None and due < on:
        yield Reason("Calibration can't be due before it was done.", "calibration_due")


@transaction.atomic
def add_instrument(
    *, by: Person, role: Role, at: datetime, details: InstrumentDetails
) -> Instrument:
    """Put an instrument on record.

    :raises Refused: without name or serial number, or with a serial number that is known
    """
    allow(by=by, role=role, deed=instrument_deed(role), at=at)
    if reasons := list(_faults(details, None)):
        raise Refused(reasons)
    return Instrument(**_values(details)).keep(by=by, role=role, why="Put on record.", at=at)


@transaction.atomic
def change_instrument(
    *,
    by: Person,
    role: Role,
    at: datetime,
    instrument: Instrument,
    details: InstrumentDetails,
    why: str,
) -> Instrument:
    """Change an instrument, a new calibration for one; readings keep the marks they got."""
    held = Instrument.objects.select_for_update().get(pk=instrument.pk)
    allow(by=by, role=role, deed=instrument_deed(role), at=at)
    if reasons := list(_faults(details, held)):
        raise Refused(reasons)
    for name, value in _values(details).items():
        setattr(held, name, value)
    return held.keep(by=by, role=role, why=why.strip() or "Instrument changed.", at=at)


def _values(details: InstrumentDetails) -> dict[str, object]:
    values = asdict(details)
    return {name: v.strip() if isinstance(v, str) else v for name, v in values.items()} | {
        "kind": details.kind.value
    }
