"""One showing, whole: the snapshot every gate, duty and readiness mark is computed from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from lifecycle.process.facts.condition import ReportFacts
from lifecycle.process.facts.display import DisplayFacts
from lifecycle.process.facts.home import HomeFacts
from lifecycle.process.facts.light import ShowingLight
from lifecycle.process.facts.objects import ObjectFacts, PlanFace
from lifecycle.process.facts.preparation import PreparationFacts
from lifecycle.process.facts.treatment import AskedAgainFacts, ProposalFacts
from lifecycle.process.stages import Role, Stage
from lifecycle.process.switches import Switch
from lifecycle.process.words import Answer, FitForDisplay, ReportKind

LONG_AGO = date(2000, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExhibitionFacts:
    uid: str = ""
    code: str = ""
    title: str = ""
    install_from: date = LONG_AGO
    opens: date = LONG_AGO
    closes: date = LONG_AGO
    deinstall_until: date = LONG_AGO
    over: bool = False
    manager: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestFacts:
    """What the curator asked for."""

    reason: str = ""
    show_from: date = LONG_AGO
    show_to: date = LONG_AGO
    alternatives: int = 0
    no_alternative_because: str = ""
    duplicates_seen: bool = False
    """The asker was shown the other bookings of the object and asked all the same."""

    substitute: str = ""
    no_substitute_wanted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerFacts:
    """The conservator's latest answer, with what it was computed from."""

    answer: Answer
    on: date
    grounds: bool = False
    stored: bool = False
    """Earliest date or its impossibility, alternatives and all inputs are on record."""

    override: str = ""
    """Who put the answer above the rules, and why; empty when nobody did."""

    override_by_head: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AssessmentFacts:
    fit: FitForDisplay
    signed: bool = False
    signed_on: date | None = None
    conditions: bool = False
    hours_of_treatment: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOverFacts:
    """What a museum states about an object that was already under way when it began."""

    period_open: bool = False
    entered: bool = False
    face: bool = False
    place: bool = False
    since: bool = False
    report_named: bool = False
    report_none_known: bool = False
    light_so_far: bool = False
    missing: frozenset[str] = frozenset()
    """Codes of what is stated to be missing, never to be signed backwards."""

    missing_listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NextFacts:
    """The showing the object is passed on to."""

    showing_no: str
    exhibition: str = ""
    accepted: bool = False
    account_open: bool = False
    stage: Stage = Stage.SELECTION


@dataclass(frozen=True, slots=True, kw_only=True)
class WaiverFacts:
    code: str
    about: str = ""
    by: str = ""
    role: Role = Role.HEAD_OF_COLLECTIONS
    reason: str = ""
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveMade:
    """One journal row that was not struck."""

    uid: str
    move: str
    from_stage: Stage | None
    to_stage: Stage
    at: datetime
    """On the museum's clock, so that its day is the museum's day."""

    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What the house rules say to gates: figures, gates left out, and days of the readiness.

    ``off`` already holds what this one exhibition does otherwise; ``days`` goes by the code of
    the readiness gate, or of another day that is worked back, and holds only those the museum has
    set. ``print_days`` and ``proof_days`` are working days of a facsimile.
    """

    version: int = 0
    fresh_look_months: int = 6
    part_b_days: int = 30
    ink_not_shown_from: int | None = 4
    ink_sign_off_from: int | None = 3
    off: frozenset[Switch] = frozenset()
    days: Mapping[str, int] = field(default_factory=dict)
    working: frozenset[str] = frozenset()
    """Codes of days that are counted in working days."""

    days_off: frozenset[date] = frozenset()
    """Days on which the house does not work, beside Saturdays and Sundays."""

    print_days: int = 15
    proof_days: int = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowingFacts:
    """``stage`` is None before the request or take-over is journalled.

    ``today`` and ``moment`` are the museum's day and the instant the snapshot was taken for.
    """

    stage: Stage | None = None
    today: date = LONG_AGO
    moment: datetime = datetime(2000, 1, 1, tzinfo=UTC)
    showing_no: str = ""
    uid: str = ""
    showing_id: int = 0
    exhibition: ExhibitionFacts = ExhibitionFacts()
    request: RequestFacts = RequestFacts()
    object: ObjectFacts = field(default_factory=ObjectFacts)
    faces: tuple[PlanFace, ...] = ()
    answer: AnswerFacts | None = None
    assessment: AssessmentFacts | None = None
    reports: tuple[ReportFacts, ...] = ()
    proposals: tuple[ProposalFacts, ...] = ()
    asked_again: tuple[AskedAgainFacts, ...] = ()
    preparation: PreparationFacts = field(default_factory=PreparationFacts)
    light: ShowingLight = field(default_factory=ShowingLight)
    display: DisplayFacts = field(default_factory=DisplayFacts)
    home: HomeFacts = field(default_factory=HomeFacts)
    take_over: TakeOverFacts = TakeOverFacts()
    next: NextFacts | None = None
    waivers: tuple[WaiverFacts, ...] = ()
    journal: tuple[MoveMade, ...] = ()
    last_moved_at: datetime | None = None
    """Arrival of the object's last movement before display, of any kind but to its position;
    on the museum's clock."""

    place: str = ""
    """The position it is planned for; empty while none is named."""

    job_person_ids: frozenset[int] = frozenset()
    rules: Rules = Rules()

    @property
    def aftercare(self) -> bool:
        """Whether the treatment under way came after display."""
        begun = [m for m in self.journal if m.move in ("begin_treatment", "aftercare")]
        return bool(begun) and begun[-1].move == "aftercare"

    @property
    def taken_over(self) -> bool:
        return bool(self.journal) and self.journal[0].move == "take_over"

    @property
    def taken_down_at(self) -> datetime | None:
        made = [m.at for m in self.journal if m.move == "take_down"]
        return made[-1] if made else None

    @property
    def baseline(self) -> ReportFacts | None:
        """Return the youngest signed report that can stand as baseline, of any showing."""
        kinds = (
            ReportKind.BASELINE,
            ReportKind.INCOMING,
            ReportKind.BEFORE_INSTALL,
            ReportKind.AFTER_TREATMENT,
            ReportKind.DEINSTALL_AT_BENCH,
        )
        signed = [r for r in self.reports if r.signed and r.kind in kinds]
        return max(signed, key=lambda r: r.examined_at, default=None)

    def report(self, kind: ReportKind, *, this_showing: bool = True) -> ReportFacts | None:
        """Return the youngest report of a kind, signed or not."""
        found = [r for r in self.reports if r.kind is kind and (r.this_showing or not this_showing)]
        return max(found, key=lambda r: (r.examined_at, r.uid), default=None)

    def waiver_of(self, code: str, about: str) -> WaiverFacts | None:
        """Return the waiver in force for one blocker; one past its day no longer counts."""
        for waiver in self.waivers:
            alive = waiver.until is None or waiver.until >= self.today
            if alive and waiver.code == code and waiver.about == about:
                return waiver
        return None
