"""What the light account answers about showings: for gates, requests and the readiness table."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.planning.account import missing_of, resting_of
from lifecycle.planning.again import Asked, NextAllowed, next_allowed
from lifecycle.planning.fitting import Fit, fit
from lifecycle.planning.keeping import as_data
from lifecycle.planning.last_day import Caps, LastDay, last_day
from lifecycle.planning.ledger import FaceInputs, Plan, ledger_of
from lifecycle.planning.levels import Position
from lifecycle.planning.quantities import UNITS_PER_LX_H, level_of, lux_of, units_of, whole_lx_h
from lifecycle.process.facts.light import FaceLight, ShowingLight
from lifecycle.queries.light.accounts import bookings, never_shown
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.light.watching import Watch
from lifecycle.records.models import DisplayPeriod, Face, Showing

DAY = timedelta(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCheck:
    """One face of a showing's plan against its account; doses in whole lx·h."""

    face: Face
    missing: tuple[str, ...]
    planned: int | None
    left: int | None
    fits: bool
    ceiling: int | None
    uv_ceiling: int | None
    free_from: date | None
    last: LastDay | None
    answer: NextAllowed | None
    because: str
    inputs: FaceInputs
    planned_lux: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightCheck:
    """A showing against the accounts of its faces. The worst face speaks for the object."""

    showing: Showing
    faces: tuple[FaceCheck, ...]
    missing: tuple[str, ...]
    ok: bool
    earliest: date | None
    binding_code: str
    binding: str
    because: str
    offered: str
    rules_version: int | None
    inputs: dict[str, Any]


def exact(units: int) -> Decimal:
    """Return a dose in units as lux hours without rounding."""
    return Decimal(units) / UNITS_PER_LX_H


def up_period(gathered: Gathered, showing: Showing) -> DisplayPeriod | None:
    """Return the period in which a face hangs for this showing now."""
    rows = gathered.shown_in(showing)
    return next((row for row in rows if row.closed_at is None), None)


def caps_of(gathered: Gathered, showing: Showing, planned_end: date) -> Caps:
    """Return the limits of one showing beside the house rule."""
    conditions, loan = gathered.conditions(showing.pk), showing.loan
    cap = conditions.max_dose_lx_h
    return Caps(
        planned_end=planned_end,
        dose=None if cap is None else units_of(cap),
        max_weeks=conditions.max_weeks,
        loan_ends=None if loan is None else loan.ends_on,
    )


def faces_of(gathered: Gathered, showing: Showing) -> list[Face]:
    """Return the faces this showing charges, those of its plan first."""
    pks = [row.face_id for row in gathered.wanted[showing.pk]]
    pks += [row.face_id for row in gathered.shown_in(showing)]
    if showing.museum_object_id in gathered.faces_of:
        every = gathered.faces_of[showing.museum_object_id]
        if every and gathered.shares_light(every[0]):
            pks += [face.pk for face in every]
    return [gathered.faces[pk] for pk in dict.fromkeys(pks) if pk in gathered.faces]


@dataclass(slots=True)
class Reckoned:
    """One face of one showing, reckoned once for gates and pages alike."""

    face: Face
    inputs: FaceInputs
    own: list[Plan]
    missing: tuple[str, ...]
    fit: Fit | None
    free_from: date | None
    last: LastDay | None
    ceiling: int | None
    uv_ceiling: int | None


def reckon(gathered: Gathered, showing: Showing, face: Face, level: int | None) -> Reckoned:
    inputs = gathered.inputs(face, leave_out=showing.pk)
    own = gathered.plans_in(showing, face, lux=level)
    missing = [row.text.rstrip(".") for row in missing_of(inputs.with_plans(*own))]
    period = up_period(gathered, showing)
    if period is not None and period.face_id != face.pk:
        period = None
    if not own and not any(stay.ref == str(showing.uid) for stay in inputs.stays):
        if not gathered.wanted_of(showing, face):
            missing.append(f"{inputs.face} stands in no plan with days: give the face its days")
        elif gathered.class_rule(face) is not None and showing.stage != "returned":
            missing.append(f"no lux is planned for {inputs.face}: sign the assessment")
    lux_ceiling, uv_ceiling = gathered.ceilings(showing.pk, face)
    last = None
    if period is not None:
        last = last_day(inputs, caps_of(gathered, showing, gathered.planned_end(period)))
    others = [stay for stay in inputs.stays if stay.ref != str(showing.uid)]
    before = FaceInputs(
        face=inputs.face,
        zone=inputs.zone,
        at=inputs.at,
        limits=inputs.limits,
        stays=tuple(others),
        entries=inputs.entries,
    )
    return Reckoned(
        face=face,
        inputs=inputs,
        own=own,
        missing=tuple(dict.fromkeys(missing)),
        fit=None if missing else fit(inputs, own, str(showing.uid)),
        free_from=resting_of(before).free_from,
        last=last,
        ceiling=lux_ceiling,
        uv_ceiling=uv_ceiling,
    )


def light_of(showings: Sequence[Showing], at: datetime) -> dict[int, ShowingLight]:
    """Return, per showing, what its gates ask of light, in a fixed number of queries."""
    rows = list(showings)
    if not rows:
        return {}
    gathered = Gathered([], at, showings=rows)
    watch = Watch(gathered, rows)
    found = {}
    for row in rows:
        showing = gathered.showings[row.pk]
        reckoned = [reckon(gathered, showing, face, None) for face in faces_of(gathered, showing)]
        lines = [_line(one) for one in reckoned]
        if reckoned and gathered.shares_light(reckoned[0].face):
            lines = _worst_of_all(lines)
        found[row.pk] = ShowingLight(
            faces=tuple(lines), watch=watch.of(showing), flags=watch.flags_of(showing)
        )
    return found


def _line(one: Reckoned) -> FaceLight:
    whole = one.fit if not one.missing else None
    return FaceLight(
        face_id=one.face.pk,
        missing=one.missing,
        left=None if whole is None else exact(whole.left),
        planned=None if whole is None else exact(whole.planned),
        ceiling=None if one.ceiling is None else Decimal(one.ceiling),
        uv_ceiling=None if one.uv_ceiling is None else Decimal(one.uv_ceiling),
        resting_until=one.free_from,
        last_day=None if one.last is None else one.last.day,
        days_in_hand=None if one.last is None else one.last.days_in_hand,
    )


def _worst_of_all(lines: list[FaceLight]) -> list[FaceLight]:
    """Light that passes through charges every face: the tightest one speaks for each of them."""
    lacks = tuple(dict.fromkeys(text for line in lines for text in line.missing))
    known = [line for line in lines if line.left is not None and line.planned is not None]
    worst = min(known, key=lambda line: (line.left or 0) - (line.planned or 0), default=None)
    rests = [line.resting_until for line in lines if line.resting_until is not None]
    return [
        FaceLight(
            face_id=line.face_id,
            missing=lacks,
            left=None if worst is None or lacks else worst.left,
            planned=None if worst is None or lacks else worst.planned,
            ceiling=min((r.ceiling for r in lines if r.ceiling is not None), default=None),
            uv_ceiling=min((r.uv_ceiling for r in lines if r.uv_ceiling is not None), default=None),
            resting_until=max(rests, default=None),
            last_day=line.last_day,
            days_in_hand=line.days_in_hand,
        )
        for line in lines
    ]


def light_check(showing: Showing, at: datetime, *, lux: Decimal | None = None) -> LightCheck:
    """Return how a showing stands with the accounts of its faces, with the next day it may start.

    :param lux: planned illuminance [lx] to try instead of what is measured or allowed
    """
    gathered = Gathered([], at, showings=[showing])
    showing = gathered.showings[showing.pk]
    level = None if lux is None else level_of(lux)
    faces = tuple(
        _face_check(gathered, showing, reckon(gathered, showing, face, level))
        for face in faces_of(gathered, showing)
    )
    missing = [text for face in faces for text in face.missing]
    if not faces:
        missing.append(f"{showing.request_no} names no face: say which side is to be seen")
    refusing = [face for face in faces if face.answer is not None and not face.answer.as_asked]
    tight = [face for face in faces if not face.fits]
    starts = [face.answer.first for face in faces if face.answer is not None]
    known = [day for day in starts if day is not None]
    # The object starts when its last face may; one face without a day means no day at all.
    earliest = max(known) if known and len(known) == len(starts) and not missing else None
    binding = next(
        (f.answer.binding for f in refusing if f.answer and f.answer.binding is not None), None
    )
    because = " ".join(f"{face.face.label}: {face.because}" for face in faces)
    offered = [offer for face in faces if face.answer for offer in face.answer.offers]
    return LightCheck(
        showing=showing,
        faces=faces,
        missing=tuple(dict.fromkeys(missing)),
        ok=not missing and not tight and not refusing,
        earliest=earliest,
        binding_code="" if binding is None else binding.code,
        binding="" if binding is None else binding.text,
        because=because or "; ".join(missing),
        offered=" ".join(dict.fromkeys(offered)),
        rules_version=None if gathered.rules is None else gathered.rules.version,
        inputs={
            "asked_at": at.isoformat(),
            "faces": [
                {
                    "face": str(face.face.uid),
                    "inputs": as_data(face.inputs),
                    "asked": None if face.answer is None else as_data(face.answer.asked),
                    "said": "" if face.answer is None else face.answer.because,
                    "figures": None if face.answer is None else face.answer.figures,
                }
                for face in faces
            ],
        },
    )


def _face_check(gathered: Gathered, showing: Showing, one: Reckoned) -> FaceCheck:
    answer = None
    if one.own:
        first = one.own[0]
        days = _days(gathered, one.own)
        position = Position(
            ref=first.position.ref, label=first.position.label, timetable=first.position.timetable
        )
        asked = Asked(
            position=position,
            first=first.since.astimezone(gathered.zone).date(),
            days=days,
            level=first.level,
            max_weeks=gathered.conditions(showing.pk).max_weeks,
            bookings=bookings(gathered, one.face, leave_out=showing.pk),
            pending=never_shown(one.face),
        )
        answer = next_allowed(one.inputs, asked)
    if one.missing:
        because = f"lacks {'; '.join(one.missing)}."
    elif answer is not None:
        because = answer.because
    else:
        because = one.fit.because if one.fit else ""
    return FaceCheck(
        face=one.face,
        missing=one.missing,
        planned=None if one.fit is None else whole_lx_h(one.fit.planned),
        left=None if one.fit is None else whole_lx_h(one.fit.left),
        fits=one.fit is not None and one.fit.fits and not never_shown(one.face),
        ceiling=one.ceiling,
        uv_ceiling=one.uv_ceiling,
        free_from=one.free_from,
        last=one.last,
        answer=answer,
        because=because,
        inputs=one.inputs,
        planned_lux=_light_meant(one),
    )


def _light_meant(one: Reckoned) -> Decimal | None:
    """Return the light planned for a face [lx]; for one that is up, what it goes on with."""
    if one.own:
        return lux_of(one.own[0].level)
    up = ledger_of(one.inputs).open_exposures if one.last is not None else []
    return lux_of(up[-1].level_now) if up else None


def _days(gathered: Gathered, own: Sequence[Plan]) -> int:
    """Return how many days the plan of one face spans, first to last."""
    first = min(plan.since for plan in own).astimezone(gathered.zone).date()
    last = max(plan.until for plan in own).astimezone(gathered.zone).date()
    return max(1, (last - first).days)
