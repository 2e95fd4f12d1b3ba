"""The bench page: limits of the consent on top, cautions, what may be done, what was done."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import prefetch_related_objects

from lifecycle.process.cautions import Caution, CautionFor, cautions_for
from lifecycle.process.facts.treatment import ConsentFacts
from lifecycle.queries.treatment.cautions import (
    BenchCaution,
    at_bench,
    live_hazards,
    material_cautions,
    object_cautions,
    raised_by_version,
    reasons_of,
    said,
)
from lifecycle.queries.treatment.consenting import Clock, clock_at, version_consents
from lifecycle.queries.treatment.covering import (
    in_force,
    open_deviations,
    standing_only,
    still_said,
)
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.queries.treatment.step_lines import StepLine, step_lines
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import (
    ConsentExclusion,
    Proposal,
    ProposalVersion,
    TreatmentStep,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """One proposal at the bench. ``in_force`` is the version that covers steps now, if any.

    ``raised`` are the cautions its steps and materials raise, ``media`` all that the object asks
    for whatever is done.
    """

    proposal: Proposal
    in_force: ProposalVersion | None
    waiting: ProposalVersion | None
    consents: tuple[ConsentFacts, ...]
    limits: tuple[str, ...]
    excluded: tuple[str, ...]
    covered: tuple[str, ...]
    open_deviations: tuple[TreatmentStep, ...]
    steps: Sequence[TreatmentStep]
    lines: tuple[StepLine, ...]
    raised: tuple[BenchCaution, ...]
    media: tuple[BenchCaution, ...]
    materials: tuple[BenchCaution, ...]
    hazards: tuple[Caution, ...]

    @property
    def hours(self) -> str:
        held = standing_only(self.steps)
        return f"{sum(step.hours for step in held):.2f}".rstrip("0").rstrip(".")


def limits_of(version: ProposalVersion, clock: Clock) -> tuple[str, ...]:
    """Return who set which limits in the version in force, each in one line."""
    return tuple(
        f"{consent.person}: {consent.limits}"
        for consent in version_consents(version, clock)
        if consent.agreed and consent.limits
    )


def _exclusions(version: ProposalVersion, clock: Clock) -> Iterator[ConsentExclusion]:
    for consent in version.consents.all():
        if still_said(version, consent.pk, clock):
            yield from consent.exclusions.all()


def excluded_in(version: ProposalVersion, clock: Clock) -> tuple[str, ...]:
    """Return the steps that the latest word of each party to a version leaves out."""
    return tuple(
        f"{line.step.label} on {line.face.label if line.face else 'every face'}"
        for line in _exclusions(version, clock)
    )


def covered_in(version: ProposalVersion, clock: Clock) -> tuple[str, ...]:
    """Return the steps of a version that nobody's latest word leaves out, with their faces."""
    out = {(line.step_id, line.face_id) for line in _exclusions(version, clock)}
    return tuple(
        f"{line.step.label} ({line.face.label})" if line.face else line.step.label
        for line in version.steps.all()
        if not {(line.step_id, line.face_id), (line.step_id, None)} & out
    )


def bench_of(proposal: Proposal, at: datetime) -> Bench:
    """Read everything the bench needs; the count of queries does not grow with the log."""
    whole = whole_proposals(Proposal.objects.filter(pk=proposal.pk)).get()
    clock = clock_at(at)
    versions = list(whole.versions.all())
    current = in_force(versions, clock)
    sent = [version for version in versions if version.signed]
    waiting = [v for v in sent if current is None or v.version > current.version]
    shown = current or (waiting[-1] if waiting else None)
    planned = [m.material for version in sent for m in version.materials.all()]
    steps = list(whole.steps.all())
    prefetch_related_objects(steps, "cautions")
    thing = at_bench(whole.museum_object)
    raised = raised_by_version(thing, shown, clock.today) if shown else ()
    return Bench(
        proposal=whole,
        in_force=current,
        waiting=waiting[-1] if waiting else None,
        consents=version_consents(shown, clock) if shown else (),
        limits=limits_of(current, clock) if current else (),
        excluded=excluded_in(current, clock) if current else (),
        covered=covered_in(current, clock) if current else (),
        open_deviations=tuple(open_deviations(whole.steps.all(), versions, clock)),
        steps=steps,
        lines=step_lines(steps, versions, clock),
        raised=tuple(said(raised, reasons_of(shown))),
        media=tuple(object_cautions(thing)),
        materials=tuple(material_cautions({m.pk: m for m in planned}.values())),
        hazards=treatment_cautions(whole.museum_object),
    )


def treatment_cautions(museum_object: MuseumObject) -> tuple[Caution, ...]:
    """Return the cautions of the object's hazards for work at the bench."""
    return cautions_for(live_hazards(museum_object), CautionFor.TREAT)
