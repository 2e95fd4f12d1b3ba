"""Which record a reason is about: the uid of the job, mount, report, hold that mends it."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

from lifecycle.process.facts.showing import ShowingFacts

Pairs = Iterator[tuple[str, str]]


def _imaging(facts: ShowingFacts) -> Pairs:
    for job in facts.preparation.imaging:
        yield job.job_no, job.uid


def _facsimiles(facts: ShowingFacts) -> Pairs:
    for face in facts.faces:
        facsimile = facts.preparation.facsimile_of(face.face_id)
        if facsimile is not None:
            yield face.label, facsimile.uid


def _mounts(facts: ShowingFacts) -> Pairs:
    for face in facts.faces:
        for mount in facts.preparation.mounts:
            yield face.label, mount.uid


def _proposals(facts: ShowingFacts) -> Pairs:
    for proposal in facts.proposals:
        yield proposal.number, proposal.uid
        for consent in proposal.consents:
            yield f"{proposal.number} v{proposal.version} {consent.key}", proposal.uid


def _treated(facts: ShowingFacts) -> Pairs:
    for proposal in facts.proposals:
        for face in proposal.faces:
            yield face.label, proposal.uid


def _findings(facts: ShowingFacts) -> Pairs:
    for asked in facts.asked_again:
        yield f"{asked.feature} {asked.what}", asked.uid


def _reports(facts: ShowingFacts) -> Pairs:
    for report in facts.reports:
        yield report.report_no, report.uid


def _holds(facts: ShowingFacts) -> Pairs:
    for hold in facts.object.holds:
        yield hold.uid, hold.uid


def _movements(facts: ShowingFacts) -> Pairs:
    for movement in facts.home.movements:
        yield movement.number, movement.uid
        if movement.to_home:
            yield "", movement.uid


def _incidents(facts: ShowingFacts) -> Pairs:
    for incident in facts.home.open_incidents:
        yield incident.number, incident.uid


def _loans(facts: ShowingFacts) -> Pairs:
    if facts.home.loan is not None and facts.home.loan.uid:
        yield "", facts.home.loan.uid


def _inked(facts: ShowingFacts) -> Pairs:
    for ink in facts.object.ink:
        yield ink.face, facts.object.uid


def _objects(facts: ShowingFacts) -> Pairs:
    yield "", facts.object.uid
    for face in facts.faces:
        yield face.label, facts.object.uid


_FINDERS: Final[Mapping[str, Callable[[ShowingFacts], Pairs]]] = MappingProxyType(
    {
        "imaging.open": _imaging,
        "facsimile.missing": _facsimiles,
        "mount.fit": _mounts,
        "consent.missing": _proposals,
        "consent.unanswered": _proposals,
        "treatment.report": _proposals,
        "treatment.images": _treated,
        "finding.asked": _findings,
        "report.unsigned": _reports,
        "object.held": _holds,
        "movement.received": _movements,
        "movement.arrival": _movements,
        "incident.open": _incidents,
        "loan.agreement": _loans,
        "loan.clauses": _loans,
        "loan.exit": _loans,
        "loan.receipt": _loans,
        "loan.end": _loans,
        "account.missing": _objects,
        "account.left": _objects,
        "account.resting": _objects,
        "light.account": _objects,
        "hazards.open": _objects,
        "ink.level": _inked,
        "ink.sign_off": _inked,
    }
)


def subject_uid(facts: ShowingFacts, code: str, about: str) -> str:
    """Return the uid of the record a reason is about, or nothing when there is none yet."""
    finder = _FINDERS.get(code)
    return "" if finder is None else dict(finder(facts)).get(about, "")
