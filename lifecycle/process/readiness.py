"""The fourteen gates of the readiness summary, each a cell computed from the same blockers.

Which gates there are is common practice; their days are our own defaults, and a house may change
them.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from lifecycle.process.facts.showing import Rules, ShowingFacts, WaiverFacts
from lifecycle.process.gates import asking, examining, ink, leaving, preparing
from lifecycle.process.gates.blocker import Blocker, Gate
from lifecycle.process.links import Link, install_day, links_of, needed_by
from lifecycle.process.stages import BEFORE_DISPLAY, CLOSED, Role
from lifecycle.process.switches import codes_off
from lifecycle.process.treatment_days import proposal_due
from lifecycle.process.worked_back import Lead, lead_of
from lifecycle.process.working_days import days_back


class GateMark(StrEnum):
    """How one of the fourteen gates stands."""

    NOT_NEEDED = "not_needed"
    TO_DO = "to_do"
    WITH_SOMEONE = "with_someone"
    DONE = "done"
    WAIVED = "waived"

    @property
    def label(self) -> str:
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class ReadyGate:
    """One gate: what it is called, what it checks, whether it applies, and by when it is due."""

    code: str
    label: str
    checks: tuple[Gate, ...]
    needed: Callable[[ShowingFacts], bool]
    with_someone: Callable[[ShowingFacts], bool]
    days_before: int
    before_close: bool = False
    label_without: str = ""
    """What the gate is called when the house rules leave a part of it out."""

    @property
    def codes(self) -> frozenset[str]:
        """The codes of the reasons this gate gives."""
        return frozenset(code for code, gate in GATE_OF.items() if gate == self.code)

    def days_in(self, rules: Rules) -> int:
        """Return how many days before it is needed under these rules."""
        return rules.days.get(self.code, self.days_before)

    def label_in(self, rules: Rules) -> str:
        whole = not self.codes & codes_off(rules.off)
        return self.label if whole or not self.label_without else self.label_without

    def is_kept(self, rules: Rules) -> bool:
        """Whether anything of it is left under these rules; a gate that is off stands nowhere."""
        return not self.codes <= codes_off(rules.off)

    def due_on(self, facts: ShowingFacts) -> date:
        """Return the working day by which it is needed, before install or the closing day."""
        start = facts.exhibition.closes if self.before_close else install_day(facts)
        rules = facts.rules
        working = self.code in rules.working
        return days_back(start, self.days_in(rules), working=working, off=rules.days_off)


@dataclass(frozen=True, slots=True, kw_only=True)
class GateCell:
    """One gate of one showing today; ``late_by`` counts days, 0 while in time.

    ``links`` has one line for each blocker, the first needed first; ``due_on`` is that of the
    first that presses.
    """

    gate: ReadyGate
    mark: GateMark
    due_on: date
    late_by: int
    blockers: tuple[Blocker, ...]
    waived: tuple[tuple[Blocker, WaiverFacts], ...]
    label: str = ""
    links: tuple[Link, ...] = ()


def _always(facts: ShowingFacts) -> bool:
    return True


def _never(facts: ShowingFacts) -> bool:
    return False


def _lent(facts: ShowingFacts) -> bool:
    return facts.object.lender != ""


def loan_is_agreed(facts: ShowingFacts) -> Iterator[Blocker]:
    """Seen on the readiness page; no move waits for it but through its clauses."""
    loan, number = facts.home.loan, facts.object.number
    if loan is None or not loan.agreement_signed:
        text = f"The loan agreement for {number} is not signed: get it signed and file it."
        yield Blocker("loan.agreement", text, Role.REGISTRAR)
    elif not loan.clauses_entered:
        text = f"The clauses of {loan.number} for {number} are not all entered: enter them."
        yield Blocker("loan.clauses", text, Role.REGISTRAR)


def slip_is_planned(facts: ShowingFacts) -> Iterator[Blocker]:
    """Seen on the readiness page; no move but install waits for it, as a movement received."""
    if facts.stage not in BEFORE_DISPLAY or not facts.place:
        return
    if not any(movement.to_position for movement in facts.home.movements):
        text = (
            f"No movement carries {facts.object.number} to {facts.place} yet: plan it, so that its "
            "slip can be printed."
        )
        yield Blocker("route.slip", text, Role.REGISTRAR)


def request_is_made(facts: ShowingFacts) -> Iterator[Blocker]:
    yield from asking.dates_lie_inside_the_run(facts)
    yield from asking.faces_are_named_in_order(facts)


def treatment_is_settled(facts: ShowingFacts) -> Iterator[Blocker]:
    if any(not (p.aftercare or p.report_signed) for p in facts.proposals):
        yield from examining.treatment_is_consented(facts)
        for proposal in facts.proposals:
            if not proposal.aftercare and proposal.consented and not proposal.report_signed:
                text = (
                    f"{proposal.label} of {facts.object.number} is agreed and its report is not "
                    "signed: treat, then write and sign it."
                )
                yield Blocker("treatment.report", text, Role.CONSERVATOR, proposal.number)
    elif not any(p.report_signed for p in facts.proposals):
        text = f"{facts.object.number} may be shown only after treatment: write a proposal."
        yield Blocker("proposal.missing", text, Role.CONSERVATOR)


def _treatment_needed(facts: ShowingFacts) -> bool:
    proposed = any(not proposal.aftercare for proposal in facts.proposals)
    return proposed or examining.asks_treatment(facts)


def _treatment_waits(facts: ShowingFacts) -> bool:
    return any(
        consent.asked_on is not None and not consent.decided
        for proposal in facts.proposals
        for consent in proposal.consents
    )


def _imaging(facts: ShowingFacts) -> bool:
    return bool(facts.preparation.imaging)


def _several_faces(facts: ShowingFacts) -> bool:
    return len(facts.faces) > 1


def _housing_under_way(facts: ShowingFacts) -> bool:
    return facts.preparation.housing.specified


def _lender_has_it(facts: ShowingFacts) -> bool:
    return facts.home.loan is not None and facts.home.loan.leave_asked


def _taken_over_or_shown(facts: ShowingFacts) -> bool:
    """What hangs already needs no preparation gates; they would be signed backwards."""
    return facts.stage in BEFORE_DISPLAY or facts.stage in CLOSED


# fmt: off
READY_GATES: Final = (
    ReadyGate("G1", "chosen", (request_is_made,), _always, _never, 26 * 7),
    ReadyGate("G2", "assessed", (examining.object_is_fit_for_display, ink.ink_may_be_shown),
              _always, _never, 16 * 7),
    ReadyGate("G3", "loan", (asking.lender_was_asked, loan_is_agreed), _lent, _lender_has_it,
              12 * 7),
    ReadyGate("G4", "baseline", (examining.baseline_is_signed,), _always, _never, 12 * 7),
    ReadyGate("G5", "treatment", (treatment_is_settled,), _treatment_needed, _treatment_waits,
              5 * 7),
    ReadyGate("G6", "imaging", (preparing.imaging_is_accepted,), _imaging, _never,
              5 * 7),
    ReadyGate("G7", "facsimile", (preparing.hidden_faces_have_facsimiles,), _several_faces,
              _never, 2 * 7),
    ReadyGate("G8", "mount", (preparing.mount_fits_every_face,), _always, _never, 3 * 7),
    ReadyGate("G9", "caption", (preparing.caption_is_approved,), _always, _never, 2 * 7),
    ReadyGate("G10", "case", (preparing.place_is_planned, preparing.companions_are_planned_with_it,
              preparing.case_is_proven), _always, _never, 5, label_without="place"),
    ReadyGate("G11", "light", (preparing.light_is_under_the_ceiling,), _always, _never, 5),
    ReadyGate("G12", "route", (preparing.route_is_walked, preparing.hazards_are_assessed,
              slip_is_planned), _always, _never, 3, label_without="hazards"),
    ReadyGate("G13", "before install", (preparing.condition_is_fresh,), _taken_over_or_shown,
              _never, 5),
    ReadyGate("G14", "way home", (leaving.housing_fits,), _always, _housing_under_way, 28,
              before_close=True),
)
# fmt: on

GATE_OF: Final = {
    "request.dates": "G1",
    "request.faces": "G1",
    "assessment.missing": "G2",
    "assessment.not_fit": "G2",
    "ink.level": "G2",
    "lender.leave": "G3",
    "lender.refused": "G3",
    "loan.agreement": "G3",
    "loan.clauses": "G3",
    "baseline.report": "G4",
    "proposal.missing": "G5",
    "consent.missing": "G5",
    "treatment.report": "G5",
    "imaging.open": "G6",
    "facsimile.missing": "G7",
    "mount.fit": "G8",
    "caption.open": "G9",
    "place.planned": "G10",
    "companion.apart": "G10",
    "case.built": "G10",
    "case.curing": "G10",
    "case.proof": "G10",
    "light.proof": "G11",
    "light.ceiling": "G11",
    "light.no_ceiling": "G11",
    "route.open": "G12",
    "route.hazards": "G12",
    "route.slip": "G12",
    "hazards.open": "G12",
    "look.fresh": "G13",
    "housing.fits": "G14",
}
"""Which gate a blocker belongs to; it lends its day to the task made from that blocker."""

_BY_CODE: Final = {gate.code: gate for gate in READY_GATES}


def cell_of(gate: ReadyGate, facts: ShowingFacts) -> GateCell:
    off = codes_off(facts.rules.off)
    found = [b for check in gate.checks for b in check(facts) if b.code not in off]
    waived = [
        (blocker, waiver)
        for blocker in found
        if (waiver := facts.waiver_of(blocker.code, blocker.about)) is not None
    ]
    left = [b for b in found if facts.waiver_of(b.code, b.about) is None]
    if not gate.needed(facts):
        left, waived = [], []
    links = links_of(
        left, facts, gate=gate.code, due_on=gate.due_on(facts), lead=lead_in(facts.rules)
    )
    if not gate.needed(facts):
        mark = GateMark.NOT_NEEDED
    elif left:
        # What nobody has in hand is still to do, whatever else of the gate is on its way.
        in_hand = gate.with_someone(facts) or all(link.in_hand for link in links)
        mark = GateMark.WITH_SOMEONE if in_hand else GateMark.TO_DO
    else:
        mark = GateMark.WAIVED if waived else GateMark.DONE
    pressing = [link for link in links if link.presses]
    return GateCell(
        gate=gate,
        mark=mark,
        due_on=min((link.needed_by for link in pressing), default=gate.due_on(facts)),
        late_by=max((link.late_by for link in pressing), default=0),
        blockers=tuple(left),
        waived=tuple(waived),
        label=gate.label_in(facts.rules),
        links=links,
    )


def lead_in(rules: Rules) -> Lead:
    """Return how long pictures, facsimiles and mounts take under these rules."""
    days = {gate.code: gate.days_in(rules) for gate in READY_GATES}
    return lead_of(rules, imaging=days["G6"], facsimile=days["G7"], mount=days["G8"])


def readiness_of(facts: ShowingFacts) -> tuple[GateCell, ...]:
    """Return the cells of one showing as they stand today, without the gates that are off."""
    return tuple(cell_of(gate, facts) for gate in gates_kept(facts.rules))


def gates_kept(rules: Rules) -> tuple[ReadyGate, ...]:
    """Return the gates of readiness that stand under these rules, in order."""
    return tuple(gate for gate in READY_GATES if gate.is_kept(rules))


def due_of(code: str, facts: ShowingFacts, about: str = "") -> date | None:
    """Return the day by which a blocker with this code should be dealt with, if a gate says so.

    With ``about`` it is the day of that very thing: the support of one face, one picture job.
    """
    code_of_gate = GATE_OF.get(code)
    if code_of_gate is None:
        return None
    due_on = _BY_CODE[code_of_gate].due_on(facts)
    if code == "proposal.missing":
        return proposal_due(facts, due_on)
    return needed_by(code, about, facts, due_on=due_on, lead=lead_in(facts.rules))


def first_late(cells: Iterable[GateCell]) -> Link | None:
    """Return the late link that was needed first: the one everything after it waits for."""
    late = [link for cell in cells for link in cell.links if link.late_by]
    return min(late, key=lambda link: link.needed_by, default=None)
