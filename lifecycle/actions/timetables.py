"""Lit hours: weekly spans by purpose with their first and last day, and dated exceptions."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import LitPurpose
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import LitException, LitSpan, LitTimetable, Person
from lifecycle.records.models.places import TimetableSource

WEEKDAYS: Final = (
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday",
)  # fmt: skip
MIDNIGHT: Final = time(0, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimetableDetails:
    """A timetable without its spans; ``cover_factor_percent`` is the share that gets through."""

    name: str
    source: TimetableSource
    cover_factor_percent: int = 100
    cover_basis: str = ""


def _timetable_faults(details: TimetableDetails, besides: LitTimetable | None) -> Iterator[Reason]:
    name = details.name.strip()
    if not name:
        yield Reason("Name the timetable: 'North Gallery lamps'.", "name")
    twins = LitTimetable.objects.filter(name__iexact=name)
    if besides is not None:
        twins = twins.exclude(pk=besides.pk)
    if name and twins.exists():
        yield Reason(f"There is a timetable called {name} already.", "name")
    if not 0 <= details.cover_factor_percent <= 100:
        text = f"A cover factor is 0 to 100 %; {details.cover_factor_percent} % was entered."
        yield Reason(text, "cover_factor_percent")
    if details.cover_factor_percent < 100 and not details.cover_basis.strip():
        text = "Say how the cover factor was estimated: 'curtain, counted on six days'."
        yield Reason(text, "cover_basis")


def timetable_deed(role: Role) -> Deed:
    """Hours are kept by those who schedule, and by the steward of a house that begins."""
    return Deed.STEWARD if role is Role.STEWARD else Deed.SCHEDULE


@transaction.atomic
def add_timetable(
    *, by: Person, role: Role, at: datetime, details: TimetableDetails
) -> LitTimetable:
    """Put a timetable on record, without spans yet.

    :raises Refused: without a name, with one that is taken, or a cover factor without a basis
    """
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    if reasons := list(_timetable_faults(details, None)):
        raise Refused(reasons)
    return LitTimetable(
        name=details.name.strip(),
        source=details.source.value,
        cover_factor_percent=details.cover_factor_percent,
        cover_basis=details.cover_basis.strip(),
    ).keep(by=by, role=role, why="Timetable entered.", at=at)


@transaction.atomic
def change_timetable(
    *,
    by: Person,
    role: Role,
    at: datetime,
    timetable: LitTimetable,
    details: TimetableDetails,
    why: str,
) -> LitTimetable:
    """Change a timetable's name, source or cover factor; accounts follow at once."""
    held = LitTimetable.objects.select_for_update().get(pk=timetable.pk)
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    reasons = list(_timetable_faults(details, held))
    if not why.strip():
        reasons.append(Reason("Say why the timetable changes.", "why"))
    if reasons:
        raise Refused(reasons)
    held.name, held.source = details.name.strip(), details.source.value
    held.cover_factor_percent = details.cover_factor_percent
    held.cover_basis = details.cover_basis.strip()
    return held.keep(by=by, role=role, why=why.strip(), at=at)


def _span_faults(starts: time | None, ends: time | None) -> Iterator[Reason]:
    if starts is None or ends is None:
        yield Reason("Enter from when to when.", "starts")
    elif ends != MIDNIGHT and ends <= starts:
        text = (
            f"A span ends after it starts; {starts:%H:%M} to {ends:%H:%M} does not. "
            "Light past midnight is two spans, one on each day."
        )
        yield Reason(text, "ends")


@transaction.atomic
def add_span(
    *,
    by: Person,
    role: Role,
    at: datetime,
    timetable: LitTimetable,
    weekdays: list[int],
    purpose: LitPurpose,
    starts: time,
    ends: time,
    from_on: date | None = None,
) -> list[LitSpan]:
    """Add one weekly span of local time on each of some weekdays (0 is Monday).

    ``ends`` at 00:00 means the midnight after. Overlaps are fine: they are not added up.

    :raises Refused: if it ends before it starts, no weekday is named, or it is there already
    """
    held = LitTimetable.objects.select_for_update().get(pk=timetable.pk)
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    reasons = list(_span_faults(starts, ends))
    if not weekdays or any(day not in range(7) for day in weekdays):
        reasons.append(Reason("Choose at least one weekday.", "weekdays"))
    same = LitSpan.objects.filter(
        timetable=held,
        weekday__in=weekdays,
        purpose=purpose.value,
        starts=starts,
        ends=ends,
        retired_on=None,
    )
    if not reasons and same.exists():
        reasons.append(Reason("This span stands in the timetable already.", "starts"))
    if reasons:
        raise Refused(reasons)
    return [
        LitSpan(
            timetable=held,
            weekday=day,
            purpose=purpose.value,
            starts=starts,
            ends=ends,
            from_on=from_on,
        ).keep(by=by, role=role, why="Lit hours entered.", at=at)
        for day in sorted(set(weekdays))
    ]


@transaction.atomic
def retire_span(
    *, by: Person, role: Role, at: datetime, span: LitSpan, from_on: date, why: str
) -> LitSpan:
    """Let a weekly span hold no more from a day on; what it lit before stays charged.

    :raises Refused: if it has ended already, never began by then, or no reason is given
    """
    held = LitSpan.objects.select_for_update().get(pk=span.pk)
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    reasons = []
    if held.retired_on is not None:
        reasons.append(Reason("This span has ended already.", "from_on"))
    if held.from_on is not None and from_on < held.from_on:
        text = f"This span begins on {day_words(held.from_on)}: it can't end before that."
        reasons.append(Reason(text, "from_on"))
    if not why.strip():
        reasons.append(Reason("Say why these hours end.", "why"))
    if reasons:
        raise Refused(reasons)
    held.retired_on = from_on
    return held.keep(by=by, role=role, why=why.strip(), at=at, fields=["retired_on"])


@transaction.atomic
def add_exception(
    *,
    by: Person,
    role: Role,
    at: datetime,
    timetable: LitTimetable,
    on: date,
    reason: str,
    dark: bool = False,
    adds: bool = False,
    purpose: LitPurpose = LitPurpose.PUBLIC,
    starts: time | None = None,
    ends: time | None = None,
) -> LitException:
    """Say what is different on one day: dark, or a span added to or standing for the week's.

    :raises Refused: without a reason, if it ends before it starts, or far outside the record
    """
    held = LitTimetable.objects.select_for_update().get(pk=timetable.pk)
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    reasons = [] if dark else list(_span_faults(starts, ends))
    if not reason.strip():
        reasons.append(Reason("Say why the day is different: 'late opening'.", "reason"))
    today = museum_day(at)
    if abs(on - today) > timedelta(days=3_660):
        reasons.append(Reason("That day is more than ten years away: check the year.", "on"))
    if (
        dark
        and LitException.objects.filter(timetable=held, on=on, dark=True, struck=False).exists()
    ):
        reasons.append(Reason("That day is dark already.", "on"))
    if reasons:
        raise Refused(reasons)
    return LitException(
        timetable=held,
        on=on,
        dark=dark,
        adds=adds and not dark,
        purpose="" if dark else purpose.value,
        starts=None if dark else starts,
        ends=None if dark else ends,
        reason=reason.strip(),
    ).keep(by=by, role=role, why=reason.strip(), at=at)


@transaction.atomic
def strike_exception(
    *, by: Person, role: Role, at: datetime, exception: LitException, why: str
) -> LitException:
    """Take a dated exception back; the row and its reason stay readable.

    :raises Refused: if it is struck already, or without a reason
    """
    held = LitException.objects.select_for_update().get(pk=exception.pk)
    allow(by=by, role=role, deed=timetable_deed(role), at=at)
    reasons = []
    if held.struck:
        reasons.append(Reason("This exception is struck already."))
    if not why.strip():
        reasons.append(Reason("Say why it does not hold.", "why"))
    if reasons:
        raise Refused(reasons)
    held.struck = True
    return held.keep(by=by, role=role, why=why.strip(), at=at, fields=["struck"])
