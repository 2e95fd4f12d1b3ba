"""Last permissible day of a face that is on display, and the days in hand.

Day by day the present light goes on until the next day would pass a limit: the account, the dose
cap of this showing, the weeks cap, the lender's or the loan's end. Days in hand = last day −
planned end. The limit that binds is named, the others stand beside it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from lifecycle.planning.account import Missing, missing_of
from lifecycle.planning.counting import counted
from lifecycle.planning.day_words import day_words
from lifecycle.planning.days import DaySums, day_sums
from lifecycle.planning.ledger import ClassLimits, FaceInputs, ledger_of
from lifecycle.planning.moments import day_start, moment_of, window_first_day
from lifecycle.planning.quantities import whole_lx_h

DAY: Final = timedelta(1)
LOOK_AHEAD_DAYS: Final = 366


@dataclass(frozen=True, slots=True, kw_only=True)
class Caps:
    """Limits of this showing beside the house rule. ``dose`` is in units."""

    planned_end: date
    dose: int | None = None
    max_weeks: int | None = None
    loan_ends: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit and the last day it leaves; None when it binds on no day looked at."""

    code: str
    text: str
    day: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LastDay:
    """The answer for one face on display."""

    inputs: FaceInputs
    caps: Caps
    day: date | None
    days_in_hand: int | None
    binding: Limit | None
    limits: tuple[Limit, ...]
    missing: tuple[Missing, ...]
    because: str


def last_day(inputs: FaceInputs, caps: Caps) -> LastDay | None:
    """Return the last permissible day of the display that goes on; None when none does."""
    ledger = ledger_of(inputs)
    if not ledger.open_exposures:
        return None
    missing = missing_of(inputs)
    if missing or inputs.limits is None:
        because = "No last day can be given. " + " ".join(row.text for row in missing)
        return LastDay(
            inputs=inputs,
            caps=caps,
            day=None,
            days_in_hand=None,
            binding=None,
            limits=(),
            missing=missing,
            because=because,
        )
    horizon = max(caps.planned_end, inputs.today) + timedelta(LOOK_AHEAD_DAYS)
    end = moment_of(day_start(horizon, ledger.zone), ledger.zone)
    ongoing = tuple(
        replace(stay, planned_until=end) if stay.until is None else stay for stay in inputs.stays
    )
    sums = day_sums(replace(inputs, stays=ongoing))
    refs = {row.stay.ref for row in ledger.open_exposures}
    first = min(row.local_day(row.start) for row in ledger.exposures if row.stay.ref in refs)
    found = [
        _by_account(sums, inputs.limits, first, horizon),
        *_by_caps(sums, inputs.limits, caps, first, horizon),
    ]
    binding = min((row for row in found if row.day is not None), key=_day_of, default=None)
    day = None if binding is None else binding.day
    in_hand = None if day is None else (day - caps.planned_end).days
    if binding is None or day is None or in_hand is None:
        because = f"No limit is reached up to {day_words(horizon)}."
    else:
        because = f"Last day {day_words(day)}: {binding.text} {_in_hand(in_hand, caps.planned_end)}"
    return LastDay(
        inputs=inputs,
        caps=caps,
        day=day,
        days_in_hand=in_hand,
        binding=binding,
        limits=tuple(found),
        missing=(),
        because=because,
    )


def _day_of(limit: Limit) -> date:
    return limit.day or date.max


def _in_hand(days: int, planned_end: date) -> str:
    span = counted(abs(days), "day")
    if days < 0:
        return f"That is {span} before the planned end on {day_words(planned_end)}."
    return f"{span} in hand after the planned end on {day_words(planned_end)}."


def _by_account(sums: DaySums, limits: ClassLimits, first: date, horizon: date) -> Limit:
    day = first
    while day < horizon:
        total = sums.window(day, limits.window_years)
        if total > limits.allowance:
            text = (
                f"the account: a day more would bring the window from "
                f"{day_words(window_first_day(day, limits.window_years))} to "
                f"{whole_lx_h(total):,} of {limits.allowance_lx_h:,} lx·h."
            )
            return Limit(code="account", text=text, day=day - DAY)
        day += DAY
    text = f"the account: {limits.allowance_lx_h:,} lx·h are not reached."
    return Limit(code="account", text=text, day=None)


def _by_caps(
    sums: DaySums, limits: ClassLimits, caps: Caps, first: date, horizon: date
) -> Iterator[Limit]:
    if caps.dose is not None:
        start, day = sums.before(first), first
        while day < horizon and sums.before(day + DAY) - start <= caps.dose:
            day += DAY
        text = f"the dose cap of this showing, {whole_lx_h(caps.dose):,} lx·h."
        yield Limit(code="dose_cap", text=text, day=None if day >= horizon else day - DAY)
    weeks = min((w for w in (limits.max_weeks, caps.max_weeks) if w is not None), default=None)
    if weeks is not None:
        text = f"at most {counted(weeks, 'week')} on display, counted from {day_words(first)}."
        yield Limit(code="weeks", text=text, day=first + timedelta(7 * weeks - 1))
    if caps.loan_ends is not None:
        yield Limit(code="loan", text="the loan ends.", day=caps.loan_ends)
