"""What would change it: more light, longer hours, other days, lower light. Only what lies ahead.

A display that goes on is cut at the moment of the inputs; what it had stays as it was, what comes
is reckoned with the altered light, hours and end. A promised showing is altered as a whole.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from lifecycle.planning.account import account_of
from lifecycle.planning.day_words import day_words
from lifecycle.planning.exposure import Exposure, Stay
from lifecycle.planning.fitting import Fit, fit
from lifecycle.planning.last_day import Caps, LastDay, last_day
from lifecycle.planning.ledger import FaceInputs, Plan, ledger_of
from lifecycle.planning.levels import Position, Reading
from lifecycle.planning.lit_hours import Purpose, Timetable, curve_of
from lifecycle.planning.moments import MINUTES_PER_DAY, day_start, minute_of, moment_of
from lifecycle.planning.quantities import LEVELS_PER_LX, lux_of, whole_lx_h

DAY: Final = timedelta(1)
OPEN_HOURS: Final = frozenset({Purpose.PUBLIC, Purpose.EVENTS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change to what lies ahead.

    ``percent`` scales the light; ``level`` [half deci-lux] puts another in its place; ``longer``
    minutes are added to each span of open hours (or taken away); ``later`` days move a promised
    showing, ``until`` gives it another last day, ``more_days`` put that day off.
    """

    label: str
    percent: int = 100
    level: int | None = None
    longer: int = 0
    later: int = 0
    until: date | None = None
    more_days: int = 0

    def __post_init__(self) -> None:
        if self.percent < 0 or (self.level is not None and self.level < 0):
            raise ValueError("Illuminance cannot be negative.")

    def light(self, level: int) -> int:
        """Return a level under this change, rounded up to half a deci-lux."""
        return self.level if self.level is not None else -(-level * self.percent // 100)


USUAL: Final = (
    Change(label="as it is"),
    Change(label="10 % more light", percent=110),
    Change(label="10 % less light", percent=90),
    Change(label="an hour longer on each open day", longer=60),
    Change(label="a week longer", more_days=7),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a change comes to: for a face that is up its last day, for a promised one its fit."""

    change: Change
    charged: int
    last: LastDay | None = None
    fit: Fit | None = None
    because: str = ""

    @property
    def charged_lx_h(self) -> int:
        return whole_lx_h(self.charged)

    @property
    def left_lx_h(self) -> int | None:
        """What a promised showing finds left [lx·h]."""
        return None if self.fit is None else whole_lx_h(self.fit.left)

    @property
    def ok(self) -> bool:
        """Whether no limit is passed before the planned end."""
        if self.last is not None:
            return self.last.days_in_hand is None or self.last.days_in_hand >= 0
        return self.fit is None or self.fit.fits


def lengthened(table: Timetable, minutes: int) -> Timetable:
    """Return a timetable whose open hours end later by so many minutes, or earlier."""

    def end(starts: int, ends: int) -> int:
        return max(starts + 1, min(ends + minutes, 2 * MINUTES_PER_DAY))

    return replace(
        table,
        spans=tuple(
            replace(row, ends=end(row.starts, row.ends)) if row.purpose in OPEN_HOURS else row
            for row in table.spans
        ),
        exceptions=tuple(
            replace(row, ends=end(row.starts, row.ends))
            if not row.dark and row.purpose in OPEN_HOURS
            else row
            for row in table.exceptions
        ),
    )


def _ahead(exposure: Exposure, change: Change, inputs: FaceInputs) -> Position:
    """The place from now on: each state at the light it is held to give, altered."""
    position = exposure.stay.position
    ahead = exposure.going_on(exposure.end + 1)
    levels = () if ahead is None else ahead.levels
    table = position.timetable
    return Position(
        ref=position.ref,
        label=position.label,
        timetable=None if table is None else lengthened(table, change.longer),
        readings=tuple(
            Reading(at=inputs.at, level=change.light(piece.band.likely), state=state)
            for state, piece in levels
        ),
    )


def altered(inputs: FaceInputs, change: Change) -> FaceInputs:
    """Return the inputs with every display that goes on cut now and altered from here on."""
    ledger = ledger_of(inputs)
    stays: list[Stay] = []
    for exposure in ledger.exposures:
        stay = exposure.stay
        if stay.until is not None or exposure.start > ledger.now:
            stays.append(stay)
            continue
        planned = stay.planned_until
        end = change.until
        if planned is not None and end is None:
            end = planned.astimezone(ledger.zone).date() - DAY
        if end is not None and (change.until is not None or change.more_days):
            after = end + DAY + timedelta(change.more_days)
            planned = moment_of(day_start(after, ledger.zone), ledger.zone)
        stays.append(replace(stay, until=inputs.at, planned_until=None))
        stays.append(
            replace(
                stay,
                position=_ahead(exposure, change, inputs),
                since=inputs.at,
                planned_until=planned,
            )
        )
    return replace(inputs, stays=tuple(stays))


def altered_plan(plan: Plan, change: Change, inputs: FaceInputs) -> Plan:
    """Return a promised showing under a change."""
    zone = inputs.clock
    table = plan.position.timetable
    first = plan.since.astimezone(zone).date() + timedelta(change.later)
    last = plan.until.astimezone(zone).date() - DAY + timedelta(change.later)
    if change.until is not None:
        last = change.until
    last += timedelta(change.more_days)
    return replace(
        plan,
        position=replace(
            plan.position,
            timetable=None if table is None else lengthened(table, change.longer),
        ),
        since=moment_of(day_start(first, zone), zone),
        until=moment_of(day_start(max(last, first) + DAY, zone), zone),
        level=change.light(plan.level),
    )


def if_up(inputs: FaceInputs, caps: Caps, change: Change) -> Outcome | None:
    """Return the last day of a face that is up under a change; None when none is up."""
    under = altered(inputs, change)
    end = (change.until or caps.planned_end) + timedelta(change.more_days)
    last = last_day(under, replace(caps, planned_end=end))
    if last is None:
        return None
    return Outcome(change=change, charged=account_of(under).booked.likely, last=last)


def if_promised(
    inputs: FaceInputs, own: Sequence[Plan], ref: str, change: Change
) -> Outcome | None:
    """Return how a promised showing fits under a change; None without a rule or plan."""
    plans = [altered_plan(plan, change, inputs) for plan in own]
    found = fit(inputs, plans, ref)
    if found is None:
        return None
    because = _hours_words(plans, inputs, found)
    return Outcome(change=change, charged=found.planned, fit=found, because=because)


def _hours_words(plans: Sequence[Plan], inputs: FaceInputs, found: Fit) -> str:
    lit = public = by_public = 0
    for plan in plans:
        table = plan.position.timetable
        if table is not None:
            curve = curve_of(table, inputs.clock)
            span = minute_of(plan.since), minute_of(plan.until)
            seen = curve.public_minutes(*span)
            lit, public = lit + curve.lit_minutes(*span), public + seen
            by_public += seen * plan.level * table.cover_percent
    return (
        f"{lit / 60:,.6g} lit hours of which {public / 60:,.6g} are public; public hours alone "
        f"would have shown {whole_lx_h(by_public):,} lx·h. "
        f"{whole_lx_h(found.left - found.planned):,} lx·h would be left."
    )


def highest_level(inputs: FaceInputs, own: Sequence[Plan], ref: str, caps: Caps | None) -> int:
    """Return the highest light, in whole tenths of a lux, that still does [half deci-lux].

    For a face that is up: with which its last day is not before its planned end. 0 when none does.
    """
    ceiling = 0 if inputs.limits is None else inputs.limits.max_lux * LEVELS_PER_LX

    def does(level: int) -> bool:
        change = Change(label="", level=level)
        outcome = (
            if_up(inputs, caps, change)
            if caps is not None
            else if_promised(inputs, own, ref, change)
        )
        return outcome is not None and outcome.ok

    low, high = 0, ceiling // 2
    if not does(0):
        return 0
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if does(2 * middle) else (low, middle - 1)
    return 2 * low


def highest_words(level: int, until: date, dark: Outcome | None = None) -> str:
    """Return the answer in words: 'At up to 43.2 lx its light lasts to Sun 6 Sep 2026.'

    :param dark: the outcome with no light at all: where even that ends before, it is not the light
    """
    end = day_words(until)
    if level:
        return f"At up to {lux_of(level).normalize():f} lx its light lasts to {end}."
    if dark is not None and dark.last is not None and dark.last.binding is not None:
        binding = dark.last.binding
        if binding.code != "account" and not dark.ok:
            return f"No light lasts to {end}, since it is not the light: {binding.text}"
    return f"No light lasts to {end}: turn, shorten or take down."


def week_ahead(inputs: FaceInputs) -> int | None:
    """Return what one more week in the present light charges [units]; None when nothing is up."""
    ledger = ledger_of(inputs)
    if not ledger.open_exposures:
        return None
    until = ledger.now + 7 * MINUTES_PER_DAY
    end = moment_of(until, ledger.zone)
    week = altered(inputs, USUAL[0])
    stays = tuple(
        replace(stay, planned_until=end) if stay.until is None else stay for stay in week.stays
    )
    return ledger_of(replace(week, stays=stays, plans=())).promised(ledger.now, until).likely
