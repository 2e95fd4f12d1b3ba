"""Light account of a face: allowance, spent in the rolling window, booked, left, and why.

Left = allowance − spent in the window − booked by displays that go on and by accepted showings.
The window ends today and the day exactly N years back counts no more. Where class or timetable is
missing the account says so and names no figure for what is left: it never passes silently.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from lifecycle.planning.day_words import day_words
from lifecycle.planning.exposure import Exposure, Part, Stay
from lifecycle.planning.ledger import (
    ClassLimits,
    Entry,
    EntryKind,
    FaceInputs,
    is_charged,
    ledger_of,
    lump_minute,
)
from lifecycle.planning.moments import (
    MINUTES_PER_DAY,
    add_months,
    day_start,
    local_day,
    minute_of,
    window_first_day,
)
from lifecycle.planning.quantities import Band, lux_of, whole_lx_h


@dataclass(frozen=True, slots=True)
class Missing:
    """Something without which no figure can be given, in words that say what to do."""

    code: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One entry of the account."""

    kind: str
    label: str
    since: date
    until: date | None
    dose: Band
    in_window: Band
    charged: bool = True
    lit_minutes: int = 0
    public_minutes: int = 0
    parts: tuple[Part, ...] = ()
    basis: str = ""
    source: str = ""
    ref: str = ""
    stay: Stay | None = None
    """The display this line is about."""

    @property
    def lit_hours(self) -> float:
        return round(self.lit_minutes / 60, 1)

    @property
    def public_hours(self) -> float:
        return round(self.public_minutes / 60, 1)

    @property
    def estimated(self) -> bool:
        return self.kind == EntryKind.ESTIMATE or any(part.assumed for part in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resting:
    """How long a face rests after its last day in the light."""

    last_lit_on: date | None
    rest_ends_on: date | None
    free_from: date | None
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """One face's light account at one moment. Doses are in units; ``.lx_h`` gives lux hours."""

    inputs: FaceInputs
    window_from: date | None
    window_to: date
    allowance: int | None
    spent: Band
    booked: Band
    left: Band | None
    lifetime: Band
    assumed: int
    lines: tuple[Line, ...]
    missing: tuple[Missing, ...]
    assumptions: tuple[str, ...]
    resting: Resting
    because: str

    @property
    def rules_version(self) -> int | None:
        return None if self.inputs.limits is None else self.inputs.limits.version

    @property
    def biggest(self) -> tuple["Line", ...]:
        """The three entries that take most of the window, the biggest first."""
        inside = [line for line in self.lines if line.in_window.likely]
        return tuple(sorted(inside, key=lambda line: -line.in_window.likely)[:3])

    @property
    def assumed_percent(self) -> int:
        """Share of the lifetime dose that rests on assumption or estimate, in whole percent."""
        return 0 if not self.lifetime.likely else round(100 * self.assumed / self.lifetime.likely)


def resting_of(inputs: FaceInputs) -> Resting:
    """Return until when the face rests.

    The rest is counted from the last local day on which the face was on display; the day named is
    still rest, the face is free on the day after it.
    """
    ledger = ledger_of(inputs)
    end = ledger.shown_until()
    if end is None:
        return Resting(
            last_lit_on=None,
            rest_ends_on=None,
            free_from=None,
            because="No display of this face is on record.",
        )
    last = local_day(end - 1, ledger.zone)
    if inputs.limits is None:
        return Resting(
            last_lit_on=last,
            rest_ends_on=None,
            free_from=None,
            because="No sensitivity class is set, so no rest can be computed.",
        )
    months = inputs.limits.rest_months
    rest_ends = add_months(last, months)
    if not months:
        because = f"{inputs.limits.name} asks no rest between showings."
        return Resting(last_lit_on=last, rest_ends_on=None, free_from=None, because=because)
    when = "Were it taken down today" if ledger.open_exposures else "Last shown"
    return Resting(
        last_lit_on=last,
        rest_ends_on=rest_ends,
        free_from=rest_ends + timedelta(1),
        because=f"{when}: last day in the light {day_words(last)}; {inputs.limits.name} asks at "
        f"least {months} months' rest, to {day_words(rest_ends)} inclusive.",
    )


def _display_line(exposure: Exposure, window: int) -> Line:
    parts = tuple(exposure.parts(exposure.start, exposure.end))
    dose = sum((part.dose for part in parts), start=Band())
    zone_day = exposure.local_day
    last_minute = max(exposure.end - 1, exposure.start)
    return Line(
        kind="display",
        label=exposure.stay.label or exposure.stay.position.label,
        since=zone_day(exposure.start),
        until=None if exposure.stay.until is None else zone_day(last_minute),
        dose=dose,
        in_window=exposure.dose(window, exposure.end),
        lit_minutes=sum(part.lit_minutes for part in parts),
        public_minutes=sum(part.public_minutes for part in parts),
        parts=parts,
        basis=_basis_of(exposure),
        ref=exposure.stay.ref,
        stay=exposure.stay,
    )


def _basis_of(exposure: Exposure) -> str:
    """Say what a display rests on: readings in it, from darkest to brightest, the longest gap."""
    place = exposure.stay.position
    end = max(exposure.end, exposure.start + 1)
    inside = [row for row in place.readings if exposure.start <= minute_of(row.at) < end]
    if not inside:
        return f"no reading at {place.label} while it was up"
    levels = [lux_of(row.level).normalize() for row in inside]
    edges = sorted({exposure.start, exposure.end, *(minute_of(row.at) for row in inside)})
    longest = max(b - a for a, b in pairwise(edges)) // MINUTES_PER_DAY if len(edges) > 1 else 0
    lowest, highest = min(levels), max(levels)
    lux = f"{lowest:f} lx" if lowest == highest else f"{lowest:f} to {highest:f} lx"
    count = f"{len(inside)} reading{'s' if len(inside) != 1 else ''}"
    text = f"{count} at {place.label}, {lux}, longest gap {longest} days"
    marked = dict.fromkeys(row.marked for row in inside if row.marked)
    return f"{text}; some {', '.join(marked)}" if marked else text


def _entry_line(entry: Entry, limits: ClassLimits | None, window: int, inputs: FaceInputs) -> Line:
    charged = is_charged(entry, limits)
    counts = charged and window <= lump_minute(entry) < minute_of(inputs.at)
    zone = inputs.clock
    return Line(
        kind=entry.kind.value,
        label=entry.label or entry.kind.value,
        since=local_day(minute_of(entry.since), zone),
        until=local_day(minute_of(entry.until), zone),
        dose=entry.dose,
        in_window=entry.dose if counts else Band(),
        charged=charged,
        basis=entry.basis,
        source=entry.source,
        ref=entry.ref,
    )


def missing_of(inputs: FaceInputs) -> tuple[Missing, ...]:
    """Return what must be recorded before the account can be trusted, in words."""
    found: dict[tuple[str, str], Missing] = {}
    if inputs.limits is None:
        text = f"{inputs.face} has no sensitivity class with a rule in force: set the class."
        found["class", ""] = Missing("light.class", text)
    ledger = ledger_of(inputs)
    places = [(row.stay.position, row.unread) for row in ledger.exposures]
    places += [(plan.position, False) for plan in inputs.plans]
    for position, unread in places:
        if position.timetable is None:
            text = f"{position.label} has no lit timetable: give it, or a place above it, one."
            found["timetable", position.ref] = Missing("light.timetable", text)
        if unread:
            text = f"{position.label} has no reading and no ceiling to charge: take a reading."
            found["reading", position.ref] = Missing("light.reading", text)
    return tuple(found.values())


def account_of(inputs: FaceInputs) -> Account:
    """Return the account of a face at the moment of its inputs."""
    ledger = ledger_of(inputs)
    limits, today = inputs.limits, inputs.today
    first = None if limits is None else window_first_day(today, limits.window_years)
    window = 0 if first is None else day_start(first, ledger.zone)
    far = max((end for _, end in ledger.displays()), default=ledger.now) + 1
    spent, booked = ledger.spent(window, ledger.now), ledger.promised(ledger.now, far)
    lifetime = ledger.spent(0, ledger.now)
    missing = missing_of(inputs)
    lines = [_display_line(row, window) for row in ledger.exposures if row.start < row.end]
    lines += [_entry_line(row, limits, window, inputs) for row in inputs.entries]
    assumed = sum(row.assumed_dose(row.start, row.end) for row in ledger.exposures)
    assumed += sum(r.dose.likely for r in ledger.charged if r.kind is EntryKind.ESTIMATE)
    allowance = None if limits is None else limits.allowance
    left = None
    if allowance is not None and not missing:
        left = (spent + booked).left_of(allowance)
    return Account(
        inputs=inputs,
        window_from=first,
        window_to=today,
        allowance=allowance,
        spent=spent,
        booked=booked,
        left=left,
        lifetime=lifetime,
        assumed=assumed,
        lines=tuple(sorted(lines, key=lambda line: (line.since, line.kind, line.label, line.ref))),
        missing=missing,
        assumptions=_assumptions(lines),
        resting=resting_of(inputs),
        because=_because(limits, first, today, spent, booked, left, missing),
    )


def _assumptions(lines: list[Line]) -> tuple[str, ...]:
    said: dict[str, None] = {}
    for line in lines:
        for part in line.parts:
            if part.assumed:
                said[f"{line.label}: {part.basis.label}."] = None
            for state in sorted(part.borrowed):
                name = state.value.replace("_", " ")
                text = (
                    f"{line.label}: {name} light was never read there; the show light's is taken."
                )
                said[text] = None
        if line.kind == EntryKind.ESTIMATE:
            said[f"{line.label}: an estimate ({line.basis or 'basis not stated'})."] = None
        if not line.charged:
            said[f"{line.label}: below the share of the allowance that is charged."] = None
    return tuple(said)


def _because(
    limits: ClassLimits | None,
    first: date | None,
    today: date,
    spent: Band,
    booked: Band,
    left: Band | None,
    missing: tuple[Missing, ...],
) -> str:
    if limits is None or first is None:
        return " ".join(row.text for row in missing)
    text = (
        f"{limits.name} allows {limits.allowance_lx_h:,} lx·h in {_years(limits.window_years)}; "
        f"{spent.likely_lx_h:,} were spent from {day_words(first)} to {day_words(today)} and "
        f"{booked.likely_lx_h:,} are booked"
    )
    if left is None:
        return f"{text}. What is left can't be said: " + " ".join(row.text for row in missing)
    return f"{text}, so {whole_lx_h(left.likely):,} lx·h are left."


def _years(years: int) -> str:
    return "any year" if years == 1 else f"any {years} years"
