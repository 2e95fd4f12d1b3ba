"""Everything that charges one face: what was, what is, what is promised. Inputs and sums.

Displays are stays with readings; imaging, examination and estimates of past showings are entries;
accepted showings are plans. The inputs are one frozen value that can be stored and asked again.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from functools import lru_cache
from zoneinfo import ZoneInfo

from lifecycle.planning.exposure import Exposure, Stay, exposure_of
from lifecycle.planning.levels import LevelRule, Position
from lifecycle.planning.lit_hours import curve_of
from lifecycle.planning.moments import MINUTES_PER_DAY, local_day, minute_of
from lifecycle.planning.quantities import DARK, Band, units_of


class EntryKind(StrEnum):
    """What brought light to a face besides being on display under readings."""

    IMAGING = "imaging"
    EXAMINATION = "examination"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLimits:
    """The house rule of one sensitivity class in one version of the rules."""

    version: int
    label: str
    max_lux: int
    allowance_lx_h: int
    window_years: int
    rest_months: int = 0
    max_weeks: int | None = None
    max_uv: int | None = None
    reading_every_days: int = 28
    charge_lab_light_above_percent: int = 1
    mean_between: bool = True
    never_show: bool = False
    source: str = ""

    @property
    def allowance(self) -> int:
        return units_of(self.allowance_lx_h)

    @property
    def name(self) -> str:
        return f"house rules v{self.version}, class {self.label}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """Light charged as a lump, in units. It counts until its last day leaves the window."""

    kind: EntryKind
    since: datetime
    until: datetime
    dose: Band
    label: str = ""
    basis: str = ""
    source: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A promised showing of the face: from minute to minute at a planned level [half deci-lux]."""

    position: Position
    since: datetime
    until: datetime
    level: int
    label: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceInputs:
    """All that an answer about one face rests on."""

    face: str
    zone: str
    at: datetime
    limits: ClassLimits | None = None
    stays: tuple[Stay, ...] = ()
    entries: tuple[Entry, ...] = ()
    plans: tuple[Plan, ...] = ()

    @property
    def clock(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    @property
    def today(self) -> date:
        return local_day(minute_of(self.at), self.clock)

    @property
    def level_rule(self) -> LevelRule:
        limits = self.limits
        if limits is None:
            return LevelRule()
        return LevelRule(
            gap_minutes=2 * limits.reading_every_days * MINUTES_PER_DAY,
            ceiling=limits.max_lux * 20,
            mean_between=limits.mean_between,
        )

    def with_plans(self, *plans: Plan) -> "FaceInputs":
        return replace(self, plans=(*self.plans, *plans))


def is_charged(entry: Entry, limits: ClassLimits | None) -> bool:
    """Lab light is charged only when it exceeds the house's share of the allowance."""
    if entry.kind is EntryKind.ESTIMATE or limits is None:
        return True
    return entry.dose.likely * 100 > limits.allowance * limits.charge_lab_light_above_percent


def lump_minute(entry: Entry) -> int:
    """Return the minute at which a lump counts: the last one of its span."""
    return max(minute_of(entry.since), minute_of(entry.until) - 1)


def plan_dose(plan: Plan, zone: ZoneInfo, since: int, until: int) -> int:
    """Return what a plan charges in [since, until), in units; nothing without a timetable."""
    table = plan.position.timetable
    start, end = max(since, minute_of(plan.since)), min(until, minute_of(plan.until))
    if table is None or start >= end:
        return 0
    minutes = curve_of(table, zone).lit_minutes(start, end)
    return minutes * plan.level * table.cover_percent


class Ledger:
    """The sums over one face's inputs, to the minute."""

    def __init__(self, inputs: FaceInputs) -> None:
        self.inputs = inputs
        self.zone = inputs.clock
        self.now = minute_of(inputs.at)
        rule = inputs.level_rule
        self.exposures = [exposure_of(stay, rule, inputs.at, self.zone) for stay in inputs.stays]
        self.charged = [row for row in inputs.entries if is_charged(row, inputs.limits)]

    def spent(self, since: int, until: int) -> Band:
        """Return the dose received in [since, until), never past the moment of the inputs."""
        until = min(until, self.now)
        total = DARK
        for exposure in self.exposures:
            total += exposure.dose(since, min(until, exposure.end))
        for entry in self.charged:
            if since <= lump_minute(entry) < until:
                total += entry.dose
        return total

    def promised(self, since: int, until: int) -> Band:
        """Return what displays that go on and accepted showings will charge in [since, until)."""
        since = max(since, self.now)
        total = DARK
        for exposure in self.exposures:
            total += exposure.dose(max(since, exposure.end), until)
        for plan in self.inputs.plans:
            total += Band.sure(plan_dose(plan, self.zone, since, until))
        return total

    def likely(self, since: int, until: int) -> int:
        """Return the likely dose in [since, until), received and promised together."""
        return self.spent(since, until).likely + self.promised(since, until).likely

    def displays(self) -> Iterator[tuple[int, int]]:
        """Yield every span in which the face was, is or will be shown, estimates included."""
        for exposure in self.exposures:
            if exposure.start < exposure.plan_end:
                yield exposure.start, exposure.plan_end
        for entry in self.charged:
            if entry.kind is EntryKind.ESTIMATE:
                yield minute_of(entry.since), minute_of(entry.until)
        for plan in self.inputs.plans:
            yield minute_of(plan.since), minute_of(plan.until)

    def shown_until(self) -> int | None:
        """Return the last minute up to now in which the face was on display."""
        ends = [exposure.end for exposure in self.exposures if exposure.start < exposure.end]
        ends += [
            minute_of(entry.until) for entry in self.charged if entry.kind is EntryKind.ESTIMATE
        ]
        return max((end for end in ends if end <= self.now), default=None)

    @property
    def open_exposures(self) -> list[Exposure]:
        """Displays that go on at the moment of the inputs."""
        return [row for row in self.exposures if row.stay.until is None and row.start <= self.now]


@lru_cache(maxsize=2048)
def ledger_of(inputs: FaceInputs) -> Ledger:
    """Return the ledger of a face; the cache is keyed by the inputs and nothing else."""
    return Ledger(inputs)
