"""Does a consent cover this step? Answered from the versions as they stood when it was done.

The version in force is the newest one that everybody agreed to; steps inside it may go on while
a newer one waits for its answers, and no longer once the newer one is agreed.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from lifecycle.process.days import day_words
from lifecycle.process.facts.treatment import ConsentFacts
from lifecycle.queries.treatment.consenting import (
    Clock,
    asked_of,
    deviation_is_open,
    is_consented,
    party_of,
    version_consents,
)
from lifecycle.records.models.objects import Face
from lifecycle.records.models.treatment import (
    Material,
    Proposal,
    ProposalVersion,
    TreatmentStep,
)
from lifecycle.records.models.words import Word


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAsked:
    """The step a conservator wants to log, as far as a consent speaks of it."""

    step: Word
    at: datetime
    material: Material | None = None
    concentration: Decimal | None = None
    face: Face | None = None
    corrects: bool = False
    """It tells better what was done before: the clock stands still for what is done next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncovered:
    """Why a step is not covered; ``code`` is stable, ``field`` names the form field."""

    text: str
    code: str
    field: str = ""


def same_material(planned: Material, used: Material) -> bool:
    """A new batch of the same grade is the same treatment; another grade is not."""
    return (planned.name, planned.grade, planned.kind) == (used.name, used.grade, used.kind)


def plans(version: ProposalVersion, asked: StepAsked) -> bool:
    """Whether the version speaks for this step with this material on this face."""
    steps = [p for p in version.steps.all() if p.step_id == asked.step.pk]
    on_face = [p for p in steps if p.face_id is None or (asked.face and p.face_id == asked.face.pk)]
    if not on_face:
        return False
    used = asked.material
    return used is None or any(same_material(m.material, used) for m in version.materials.all())


def in_force(versions: Sequence[ProposalVersion], clock: Clock) -> ProposalVersion | None:
    """Return the newest version everybody it needs had agreed to at the moment of the clock."""
    agreed = [version for version in versions if is_consented(version, clock)]
    return max(agreed, key=lambda version: version.version, default=None)


def excluded_by(version: ProposalVersion, asked: StepAsked, clock: Clock) -> str:
    """Return whose limits exclude the step, or nothing. Not naming a face counts as touching it."""
    for consent in version.consents.all():
        if consent.decided_at > clock.moment:
            continue
        for exclusion in consent.exclusions.all():
            same_step = exclusion.step_id == asked.step.pk
            same_face = (
                exclusion.face_id is None
                or asked.face is None
                or exclusion.face_id == asked.face.pk
            )
            if same_step and same_face and still_said(version, consent.pk, clock):
                return f"{consent.spoken_by}: {consent.limits}"
    return ""


def still_said(version: ProposalVersion, consent_pk: int, clock: Clock) -> bool:
    """Whether the decision is still that party's latest word."""
    said = next(c for c in version.consents.all() if c.pk == consent_pk)
    party = party_of(said)
    later = [
        c for c in version.consents.all() if party_of(c) == party and c.decided_at <= clock.moment
    ]
    latest = max(later, key=lambda c: (c.decided_at, c.pk), default=None)
    return latest is not None and latest.pk == consent_pk


def beyond_strength(version: ProposalVersion, asked: StepAsked) -> bool:
    """Whether the solution is stronger than the version planned; that is a deviation."""
    if asked.material is None or asked.concentration is None:
        return False
    used = asked.material
    planned = [
        m.concentration
        for m in version.materials.all()
        if same_material(m.material, used) and m.concentration is not None
    ]
    return bool(planned) and asked.concentration > max(planned)


def corrected_in(steps: Iterable[TreatmentStep]) -> frozenset[int]:
    """Return the row ids of the steps that another of these was written for again."""
    return frozenset(step.corrects_id for step in steps if step.corrects_id is not None)


def standing_only(steps: Iterable[TreatmentStep]) -> list[TreatmentStep]:
    """Return the steps that hold: what was written wrongly counts nowhere, its correction does."""
    rows = list(steps)
    wrong = corrected_in(rows)
    return [step for step in rows if step.pk not in wrong]


def open_deviations(
    steps: Iterable[TreatmentStep], versions: Sequence[ProposalVersion], clock: Clock
) -> list[TreatmentStep]:
    """Return the logged deviations that are not agreed to at the moment of the clock."""
    by_pk = {version.pk: version for version in versions}
    return [
        step
        for step in standing_only(steps)
        if step.deviation
        and step.version_id in by_pk
        and deviation_is_open(list(step.decisions.all()), by_pk[step.version_id], clock)
    ]


def deviation_waits_for(
    step: TreatmentStep, versions: Sequence[ProposalVersion], clock: Clock
) -> tuple[ConsentFacts, ...]:
    """Return everybody whose agreement to a deviation is missing, and how they stand."""
    version = next(version for version in versions if version.pk == step.version_id)
    asked = asked_of(version, list(step.decisions.all()), clock)
    return tuple(consent for consent in asked if not consent.agreed)


def why_not(proposal: Proposal, asked: StepAsked, clock: Clock) -> Iterator[Uncovered]:
    """Yield everything that keeps the consents on a proposal from covering the step.

    ``proposal`` was read by ``whole_proposals``; ``clock`` stands at the moment of the step.
    """
    versions = list(proposal.versions.all())
    sent = [v for v in versions if v.signed_at is not None and v.signed_at <= clock.moment]
    name = f"{proposal.proposal_no} for {proposal.museum_object.object_number}"
    doing = asked.step.label
    stopped = () if asked.corrects else open_deviations(proposal.steps.all(), versions, clock)
    for step in stopped:
        text = (
            f"The clock of {name} stands still: the deviation in the step of "
            f"{day_words(clock.day(step.observed_at))} ({step.step.label}) is not consented yet. "
            "Ask the people named on the proposal."
        )
        yield Uncovered(text=text, code="treatment.deviation")
    current = in_force(versions, clock)
    if current is not None and plans(current, asked):
        if whose := excluded_by(current, asked, clock):
            text = (
                f"The consent to v{current.version} of {name} leaves out {doing}"
                f"{f' on {asked.face.label}' if asked.face else ' where no face is named'} "
                f"({whose.rstrip('.')}). Keep to the limits, or send a new version."
            )
            yield Uncovered(text=text, code="consent.limits", field="step")
        return
    planning = [v for v in sent if plans(v, asked)]
    waiting = [v for v in planning if current is None or v.version > current.version]
    if waiting:
        latest = max(waiting, key=lambda v: v.version)
        yield _not_consented(latest, name, doing, clock)
    elif not sent:
        drafts = [v.version for v in versions]
        text = f"{name}: no consent for v{max(drafts, default=1)}, which was not sent yet. Send it."
        yield Uncovered(text=text, code="consent.missing")
    else:
        with_what = f" with {asked.material}" if asked.material else ""
        where = f" on {asked.face.label}" if asked.face else ""
        text = (
            f"No version of {name} in force speaks for {doing}{with_what}{where}: write a new "
            "version and send it, or log an emergency with its reason."
        )
        yield Uncovered(text=text, code="consent.not_planned", field="step")


def _not_consented(version: ProposalVersion, name: str, doing: str, clock: Clock) -> Uncovered:
    missing = [c for c in version_consents(version, clock) if not c.agreed]
    words = []
    for consent in missing:
        who = consent.who
        if consent.lapsed_on:
            words.append(f"the consent of {who} lapsed on {day_words(consent.lapsed_on)}")
        elif consent.decided:
            words.append(f"{who} answered “{consent.answer}”")
        else:
            words.append(f"{who} has not answered")
    text = (
        f"{name}: no consent for v{version.version}, so {doing} can't be logged: "
        f"{', '.join(words)}. Wait for the answer, or log an emergency with its reason."
    )
    return Uncovered(text=text, code="consent.missing", field="step")
