"""Readings of a walk, many at once: from the phone at its end, or typed from a reading sheet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.light.readings import take_reading
from lifecycle.actions.papers_out.returning import Return, mark_back
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.records.models import (
    DisplayPeriod,
    Instrument,
    LightReading,
    Person,
    Place,
    Print,
    ReadingPoint,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkLine:
    """What the meter showed at one point [lx], [µW/lm]; ``key`` is how the form names the line."""

    key: str
    place: Place
    point: ReadingPoint | None
    period: DisplayPeriod | None
    lux: Decimal
    read_at: datetime
    uv: Decimal | None = None
    sure: bool = False


@transaction.atomic
def read_along(
    *,
    by: Person,
    role: Role,
    at: datetime,
    lines: Sequence[WalkLine],
    instrument: Instrument | None,
    lamp_state: LampState = LampState.SHOW,
    read_by: Person | None = None,
) -> list[LightReading]:
    """Keep the readings of a walk, all or none.

    :raises Refused: without a value; else every reason of every line, its field ending in the
        line's key; an odd value is asked about once, beside its line
    """
    kept: list[LightReading] = []
    reasons: list[Reason] = []
    if not lines:
        reasons.append(Reason("No value is entered: fill at least one line."))
    for line in lines:
        period = line.period
        if period is not None and before(line.read_at, period.opened_at):
            period = None  # read before it was put up: the place's own reading
        try:
            kept.append(
                take_reading(
                    by=by,
                    role=role,
                    at=at,
                    place=line.place,
                    point=line.point,
                    showing=None if period is None else period.showing,
                    face=None if period is None else period.face,
                    lux=line.lux,
                    uv=line.uv,
                    read_at=line.read_at,
                    instrument=instrument,
                    lamp_state=lamp_state,
                    read_by=read_by,
                    sure=line.sure,
                )
            )
        except Refused as refused:
            reasons += [_of_line(line, reason) for reason in refused.reasons]
    if reasons:
        raise Refused(list(dict.fromkeys(reasons)))
    return kept


def _of_line(line: WalkLine, reason: Reason) -> Reason:
    """A reason of one line; the meter is the whole walk's."""
    if reason.field == "instrument":
        return reason
    field = {"read_at": "time"}.get(reason.field, reason.field)
    return replace(reason, field=f"{field}_{line.key}" if field in {"lux", "uv", "time"} else "")


@transaction.atomic
def read_back_sheet(
    *,
    by: Person,
    role: Role,
    at: datetime,
    row: Print,
    details: Return,
    lines: Sequence[WalkLine],
    instrument: Instrument | None,
    lamp_state: LampState = LampState.SHOW,
) -> list[LightReading]:
    """Type a reading sheet back: its readings and its return are kept together, or neither.

    The time on the sheet is when it was read, who wrote it is who read; who types is kept too.

    :raises Refused: every reason of its lines and of its return
    """
    reasons: list[Reason] = []
    kept: list[LightReading] = []
    if details.written_by is None:
        text = "Say who of the people on record wrote on the sheet: a reading has a reader."
        reasons.append(Reason(text, "written_by"))
    try:
        kept = read_along(
            by=by,
            role=role,
            at=at,
            lines=lines,
            instrument=instrument,
            lamp_state=lamp_state,
            read_by=details.written_by,
        )
    except Refused as refused:
        reasons += refused.reasons
    try:
        mark_back(by=by, role=role, at=at, prints=[row], details=details)
    except Refused as refused:
        reasons += refused.reasons
    if reasons:
        raise Refused(reasons)
    return kept
