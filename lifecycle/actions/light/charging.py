"""Light charged to a face besides displays: lab light, and estimates of past showings."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import ROUND_UP, Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.ledger import EntryKind
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models import Face, LightEntry, Person, Showing

HUNDREDTH: Final = Decimal("0.01")
MOST_LX_H: Final = Decimal("9999999999.99")
A_MOMENT: Final = timedelta(minutes=5)
"""What runs up to 'now' may end a few minutes past the moment it is entered."""


def _faults(
    low: Decimal,
    likely: Decimal,
    high: Decimal,
    from_at: datetime,
    until_at: datetime,
    at: datetime,
) -> Iterator[Reason]:
    names = (("low", low), ("likely", likely), ("high", high))
    impossible = [name for name, value in names if not value.is_finite() or value < 0]
    for name in impossible:
        yield Reason("A dose is a number of lux hours that is not negative.", name)
    if not impossible and not low <= likely <= high:
        text = "Low is not above likely, and likely not above high: put the figures in order."
        yield Reason(text, "likely")
    if not impossible and high > MOST_LX_H:
        yield Reason("That is more light than the sun gives in a lifetime: check the unit.", "high")
    if until_at < from_at:
        yield Reason("The span ends before it starts: put the earlier day first.", "until_at")
    if from_at > at or until_at > at + A_MOMENT:
        yield Reason("Light that was had lies in the past: check the days.", "until_at")


def _exact(value: Decimal) -> Decimal:
    # Rounded up: an account never under-counts.
    return value.quantize(HUNDREDTH, rounding=ROUND_UP)


@transaction.atomic
def enter_past_light(
    *,
    by: Person,
    role: Role,
    at: datetime,
    face: Face,
    from_at: datetime,
    until_at: datetime,
    low: Decimal,
    likely: Decimal,
    high: Decimal,
    basis: str,
    source: str,
) -> LightEntry:
    """Enter a past showing from old files as an estimate [lx·h] with its basis and source.

    :raises Refused: if the figures are out of order, the span is impossible, or basis or source
        is missing
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(face.museum_object))
    low, likely, high = Decimal(low), Decimal(likely), Decimal(high)
    reasons = list(_faults(low, likely, high, from_at, until_at, at))
    if not basis.strip():
        reasons.append(Reason("Say what the estimate rests on.", "basis"))
    if not source.strip():
        reasons.append(Reason("Say where that stands: 'file note 1998'.", "source"))
    if reasons:
        raise Refused(reasons)
    return LightEntry(
        face=face,
        kind=EntryKind.ESTIMATE.value,
        from_at=from_at,
        until_at=until_at,
        low_lx_h=_exact(low),
        likely_lx_h=_exact(likely),
        high_lx_h=_exact(high),
        basis=basis.strip()[:200],
        source=source.strip()[:200],
        entered_at=at,
        entered_by=by,
    ).append()


@transaction.atomic
def charge_light(
    *,
    by: Person,
    role: Role,
    at: datetime,
    face: Face,
    kind: EntryKind,
    from_at: datetime,
    until_at: datetime,
    lux: Decimal,
    minutes: Decimal | int,
    basis: str,
    showing: Showing | None = None,
    flashes: int = 0,
    flash_lux_s: Decimal = Decimal(0),
) -> LightEntry:
    """Keep the light of imaging or examination: ``lux`` [lx] for ``minutes`` [min] of lit time,
    and of ``flashes`` with ``flash_lux_s`` [lx·s] each.

    The row is kept whatever it comes to; the account charges it when it exceeds the house's share
    of the allowance (1 % unless the house rules say otherwise).

    :raises Refused: for an estimate, a negative value or an impossible span
    """
    about = about_object(face.museum_object) if showing is None else about_showing(showing)
    deed = Deed.PREPARE if kind is EntryKind.IMAGING else Deed.EXAMINE
    allow(by=by, role=role, deed=deed, at=at, about=about)
    lux = Decimal(lux)
    dose = lux * minutes / 60 + flashes * flash_lux_s / 3600
    reasons = list(_faults(dose, dose, dose, from_at, until_at, at))
    if kind is EntryKind.ESTIMATE:
        reasons.append(Reason("An estimate has its own form, with low, likely and high.", "kind"))
    if not basis.strip():
        reasons.append(Reason("Say what the light was for.", "basis"))
    if reasons:
        raise Refused(reasons)
    return LightEntry(
        face=face,
        kind=kind.value,
        showing=showing,
        from_at=from_at,
        until_at=until_at,
        low_lx_h=_exact(dose),
        likely_lx_h=_exact(dose),
        high_lx_h=_exact(dose),
        basis=f"{basis.strip()}: {_said(lux, minutes, flashes, flash_lux_s)}"[:200],
        source=f"entered by {by.full_name}"[:200],
        entered_at=at,
        entered_by=by,
    ).append()


def _said(lux: Decimal, minutes: Decimal | int, flashes: int, flash_lux_s: Decimal) -> str:
    said = []
    if minutes or not flashes:
        said.append(f"{lux.normalize():f} lx for {Decimal(minutes).normalize():f} min")
    if flashes:
        said.append(f"{flashes} flash{'es' * (flashes > 1)} of {flash_lux_s.normalize():f} lx·s")
    return " and ".join(said)


@transaction.atomic
def correct_entry(
    *,
    by: Person,
    role: Role,
    at: datetime,
    entry: LightEntry,
    low: Decimal,
    likely: Decimal,
    high: Decimal,
    why: str,
) -> LightEntry:
    """Write a new entry that stands for a wrong one; the wrong one is kept and no longer counts."""
    old = LightEntry.objects.select_for_update().select_related("face").get(pk=entry.pk)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(old.face.museum_object))
    low, likely, high = Decimal(low), Decimal(likely), Decimal(high)
    reasons = list(_faults(low, likely, high, old.from_at, old.until_at, at))
    if LightEntry.objects.filter(corrects=old).exists():
        reasons.append(Reason("This entry is corrected already: correct the newer one.", "likely"))
    if not why.strip():
        reasons.append(Reason("Say why the entry is corrected.", "why"))
    if reasons:
        raise Refused(reasons)
    return LightEntry(
        face=old.face,
        kind=old.kind,
        showing=old.showing,
        from_at=old.from_at,
        until_at=old.until_at,
        low_lx_h=_exact(low),
        likely_lx_h=_exact(likely),
        high_lx_h=_exact(high),
        basis=old.basis,
        source=old.source,
        entered_at=at,
        entered_by=by,
        corrects=old,
        why_corrected=why.strip()[:200],
    ).append()
