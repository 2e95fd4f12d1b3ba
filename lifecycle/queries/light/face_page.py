"""Everything the page of one face's account shows, read once."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from lifecycle.planning.quantities import whole_lx_h
from lifecycle.planning.span import SpanDose, dose_in
from lifecycle.planning.what_if import week_ahead
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries.light.accounts import FaceAccount, face_account
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import Face, RequestAnswer, Waiver
from lifecycle.science.blue_wool import NOTICEABLE, Steps, steps_of

OVERRIDES: Final = sorted(code for code, rule in WAIVABLE.items() if rule.override)
"""Codes of the gates that go above the rules: all of them are about light."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Override:
    """A yes above the account, or a gate of light waived: who, when, why. It stays for ever."""

    at: datetime
    by: str
    role: str
    what: str
    reason: str
    showing: str
    showing_uid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FacePage:
    """One face's account with what stands beside it; ``uv`` is the highest recorded [µW/lm]."""

    account: FaceAccount
    uv: Decimal | None
    blue_wool: tuple[Steps, ...]
    overrides: tuple[Override, ...]
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


def overrides_on(face: Face) -> tuple[Override, ...]:
    """Return every override of the light account for an object, the first one first."""
    answers = RequestAnswer.objects.filter(
        showing__museum_object=face.museum_object_id, override_by__isnull=False
    ).select_related("override_by", "showing__exhibition")
    rows = [
        Override(
            at=row.at,
            by="" if row.override_by is None else row.override_by.full_name,
            role=row.get_role_display(),
            what=f"answered: {row.get_answer_display()}",
            reason=row.override_reason,
            showing=f"{row.showing.request_no}, {row.showing.exhibition.title}",
            showing_uid=str(row.showing.uid),
        )
        for row in answers
    ]
    waivers = Waiver.objects.filter(
        showing__museum_object=face.museum_object_id, code__in=OVERRIDES
    ).select_related("by", "showing__exhibition")
    rows += [
        Override(
            at=row.at,
            by=row.by.full_name,
            role=row.get_role_display(),
            what=row.text,
            reason=row.reason,
            showing=f"{row.showing.request_no}, {row.showing.exhibition.title}",
            showing_uid=str(row.showing.uid),
        )
        for row in waivers
    ]
    return tuple(sorted(rows, key=lambda row: row.at))


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
        overrides=overrides_on(face),
        week_lx_h=None if week is None else whole_lx_h(week),
    )


def span_of(account: FaceAccount, since: datetime, until: datetime) -> SpanDose:
    """Return the dose of the face in a span.

    :raises ValueError: if the span ends before it starts
    """
    return dose_in(account.account.inputs, since, until)
