"""Everything the page of one face's account shows, read once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from lifecycle.planning.quantities import whole_lx_h
from lifecycle.planning.span import SpanDose, dose_in
from lifecycle.planning.what_if import week_ahead
from lifecycle.queries.light.accounts import FaceAccount, face_account
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.light.overrides import Overridden, overrides_on
from lifecycle.records.models import Face
from lifecycle.science.blue_wool import NOTICEABLE, Steps, steps_of


@dataclass(frozen=True, slots=True, kw_only=True)
class FacePage:
    """One face's account with what stands beside it; ``uv`` is the highest recorded [µW/lm]."""

    account: FaceAccount
    uv: Decimal | None
    blue_wool: tuple[Steps, ...]
    overrides: Sequence[Overridden]
    week_lx_h: int | None
    """What one more week in the present light costs; None when it is not up."""


def recorded_uv(gathered: Gathered, face: Face) -> Decimal | None:
    """Return the highest UV read where the face hung, while it hung there [µW/lm]."""
    found = []
    for row in gathered.periods[face.museum_object_id]:
        if row.face_id != face.pk and not gathered.shares_light(gathered.faces[face.pk]):
            continue
        until = row.closed_at or gathered.at
        found += [
            reading.uv
            for reading in gathered.book.readings(row.place_id)
            if reading.uv is not None and row.opened_at <= reading.read_at <= until
        ]
    return max(found, default=None)


def face_page(face: Face, at: datetime) -> FacePage:
    """Return the account of one face with everything beside it, in a fixed number of queries."""
    gathered = Gathered([face], at)
    account = face_account(gathered, face)
    uv = recorded_uv(gathered, face)
    dose = float(account.lifetime.likely)
    week = week_ahead(account.account.inputs)
    return FacePage(
        account=account,
        uv=uv,
        blue_wool=tuple(
            steps_of(dose, number, None if uv is None else float(uv)) for number in NOTICEABLE
        ),
        overrides=overrides_on(face.museum_object, at),
        week_lx_h=None if week is None else whole_lx_h(week),
    )


def span_of(account: FaceAccount, since: datetime, until: datetime) -> SpanDose:
    """Return the dose of the face in a span.

    :raises ValueError: if the span ends before it starts
    """
    return dose_in(account.account.inputs, since, until)
