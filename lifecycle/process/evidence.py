"""What a move rested on, in words: kept in its journal row so that it can be read years later."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates import asking, examining, installing, leaving, preparing
from lifecycle.process.gates.blocker import Gate
from lifecycle.process.move import Move
from lifecycle.process.words import ReportKind

Refs = Callable[[ShowingFacts], list[str]]


def _answer(facts: ShowingFacts) -> list[str]:
    if facts.answer is None:
        return []
    return [f"{facts.answer.answer.label}, {facts.answer.on.isoformat()}"]


def _light(facts: ShowingFacts) -> list[str]:
    return [
        f"{face.label}: {line.planned} lx·h asked, {line.left} lx·h left"
        for face in facts.faces
        if (line := facts.light.of(face.face_id)) is not None and not line.missing
    ]


def _baseline(facts: ShowingFacts) -> list[str]:
    baseline = facts.baseline
    return [baseline.report_no] if baseline is not None else []


def _proposals(facts: ShowingFacts) -> list[str]:
    return [proposal.label for proposal in facts.proposals if proposal.consented]


def _treatment_reports(facts: ShowingFacts) -> list[str]:
    return [proposal.report_no for proposal in facts.proposals if proposal.report_signed]


def _report(kind: ReportKind) -> Refs:
    def find(facts: ShowingFacts) -> list[str]:
        report = facts.report(kind)
        return [report.report_no] if report is not None and report.signed else []

    return find


def _mounts(facts: ShowingFacts) -> list[str]:
    return [mount.number for mount in facts.preparation.mounts if mount.fits]


def _facsimiles(facts: ShowingFacts) -> list[str]:
    return [f.number for f in facts.preparation.facsimiles if f.approved and f.delivered]


def _light_proof(facts: ShowingFacts) -> list[str]:
    proof = facts.preparation.light_proof
    return [f"{proof.lux} lx, {proof.on.isoformat()}"] if proof is not None else []


def _install(facts: ShowingFacts) -> list[str]:
    check = facts.display.install
    if check is None:
        return []
    return [f"{' and '.join(check.signed_by)}; {check.lux} lx, {check.uv} µW/lm"]


def _again(facts: ShowingFacts) -> list[str]:
    check = facts.display.show_again
    if check is None:
        return []
    return [f"{' and '.join(check.signed_by)}; {check.lux} lx, {check.uv} µW/lm"]


def _lamps(facts: ShowingFacts) -> list[str]:
    take_down = facts.display.take_down
    if take_down is None or take_down.lamps_off_at is None:
        return []
    light = take_down.reading_impossible or f"{take_down.last_lux} lx"
    return [f"lamps off {take_down.lamps_off_at.isoformat()}; {light}"]


def _movements(facts: ShowingFacts) -> list[str]:
    return [m.number for m in facts.home.movements if m.sent_signed]


def _housing(facts: ShowingFacts) -> list[str]:
    housing = facts.preparation.housing
    return [housing.number] if housing.fits and housing.number else []


_OF_GATE: Final[Mapping[Gate, tuple[str, Refs]]] = MappingProxyType(
    {
        asking.request_was_answered_with_yes: ("answer", _answer),
        asking.refusal_is_grounded_and_kept: ("answer", _answer),
        asking.light_account_allows_it: ("light account", _light),
        examining.baseline_is_signed: ("baseline", _baseline),
        examining.treatment_is_consented: ("consent", _proposals),
        examining.aftercare_is_consented: ("consent", _proposals),
        examining.treatment_report_is_signed: ("treatment report", _treatment_reports),
        examining.checked_after_treatment: (
            "check after treatment",
            _report(ReportKind.AFTER_TREATMENT),
        ),
        preparing.mount_fits_every_face: ("mount", _mounts),
        preparing.hidden_faces_have_facsimiles: ("facsimile", _facsimiles),
        preparing.light_is_under_the_ceiling: ("light proof", _light_proof),
        preparing.condition_is_fresh: ("last look", _baseline),
        installing.install_check_is_signed_by_two: ("install check", _install),
        installing.movement_is_received: ("movement", _movements),
        installing.off_going_face_is_compared: (
            "off-going face",
            _report(ReportKind.OFF_GOING_FACE),
        ),
        installing.on_coming_face_is_looked_at: (
            "on-coming face",
            _report(ReportKind.ON_COMING_FACE),
        ),
        installing.shown_again_check_is_signed: ("check in place", _again),
        leaving.found_state_is_recorded: ("part A", _report(ReportKind.DEINSTALL_AT_CASE)),
        leaving.last_light_is_written: ("light at the end", _lamps),
        leaving.part_a_is_countersigned: ("part A", _report(ReportKind.DEINSTALL_AT_CASE)),
        leaving.part_b_is_signed: ("part B", _report(ReportKind.DEINSTALL_AT_BENCH)),
        leaving.housing_fits: ("housing", _housing),
        leaving.travel_housing_fits: ("housing", _housing),
        leaving.movement_home_is_confirmed: ("movement", _movements),
        leaving.one_movement_passes_it_on: ("movement", _movements),
    }
)


def evidence_of(move: Move, facts: ShowingFacts) -> dict[str, list[str]]:
    """Return, by kind, the references a move rests on; kinds without any are left out."""
    found: dict[str, list[str]] = {}
    for gate in move.gates:
        if gate in _OF_GATE:
            kind, refs = _OF_GATE[gate]
            if given := refs(facts):
                found[kind] = given
    return found
