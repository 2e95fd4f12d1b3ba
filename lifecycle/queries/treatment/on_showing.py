"""What the page of a showing, of an object and of a proposal say about treatment."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet, prefetch_related_objects

from lifecycle.process.facts.treatment import ConsentFacts
from lifecycle.queries.treatment.bench import excluded_in, limits_of
from lifecycle.queries.treatment.consenting import (
    Clock,
    clock_at,
    community_needed,
    is_nobodys_to_answer,
    version_consents,
)
from lifecycle.queries.treatment.covering import in_force, open_deviations
from lifecycle.queries.treatment.facts import is_finished, report_in_force, second_readings
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.queries.treatment.step_lines import StepLine, step_lines
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    Consent,
    Proposal,
    ProposalOption,
    ProposalPicture,
    ProposalVersion,
    TreatmentReport,
    TreatmentStep,
    VersionCaution,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionView:
    """One version with its options and how each needed consent stands."""

    version: ProposalVersion
    options: tuple[ProposalOption, ...]
    consents: tuple[ConsentFacts, ...]
    decisions: tuple[Consent, ...]
    excluded: tuple[str, ...]
    in_force: bool
    cautions: tuple[VersionCaution, ...] = ()
    pictures: tuple[Picture, ...] = ()

    @property
    def nobody_to_ask(self) -> bool:
        """Whether the object is culturally restricted and no community is named to be asked."""
        return is_nobodys_to_answer(self.version)

    @property
    def community(self) -> str:
        """The source community whose answer it needs, or nothing."""
        return community_needed(self.version)

    @property
    def state(self) -> str:
        """The word of its mark: draft, with someone, done, stopped."""
        if not self.version.signed:
            return "to_do"
        if all(consent.agreed for consent in self.consents):
            return "done"
        refused = [c for c in self.consents if c.decided and not c.agreed]
        return "stopped" if refused else "with_someone"

    @property
    def words(self) -> str:
        if not self.version.signed:
            return "draft, not sent"
        if all(consent.agreed for consent in self.consents):
            return "consented, in force" if self.in_force else "consented, replaced by a later one"
        return "not consented"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalView:
    """One proposal whole: versions newest first, steps in the order they were done."""

    proposal: Proposal
    versions: tuple[VersionView, ...]
    limits: tuple[str, ...]
    steps: tuple[TreatmentStep, ...]
    lines: tuple[StepLine, ...]
    open_deviations: tuple[TreatmentStep, ...]
    report: TreatmentReport | None
    finished: bool
    second_reader_missing: bool

    @property
    def latest(self) -> VersionView:
        return self.versions[0]

    @property
    def has_draft(self) -> bool:
        return not self.versions[0].version.signed

    @property
    def draft(self) -> ProposalVersion | None:
        return self.versions[0].version if self.has_draft else None


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentOnShowing:
    """Proposals of the showing and steps done without one (standing consent, emergency)."""

    proposals: tuple[ProposalView, ...]
    other_steps: tuple[StepLine, ...]


def proposal_view(proposal: Proposal, at: datetime) -> ProposalView:
    """Return one proposal that was read by ``whole_proposals``."""
    return _views([proposal], clock_at(at))[0]


def _views(proposals: Sequence[Proposal], clock: Clock) -> list[ProposalView]:
    parts = _parts_of(proposals)
    prefetch_related_objects(
        [step for proposal in proposals for step in proposal.steps.all()], "cautions"
    )
    read = second_readings(proposals)
    return [_view(proposal, clock, parts, read) for proposal in proposals]


@dataclass(frozen=True, slots=True)
class _Parts:
    """Parts of versions by the version's id; three queries, however many proposals."""

    options: dict[int, list[ProposalOption]]
    cautions: dict[int, list[VersionCaution]]
    pictures: dict[int, list[Picture]]


def _parts_of(proposals: Sequence[Proposal]) -> _Parts:
    parts = _Parts({}, {}, {})
    of = {"version__proposal__in": [p.pk for p in proposals], "left_out": False}
    for row in ProposalOption.objects.filter(**of).order_by("order", "pk"):
        parts.options.setdefault(row.version_id, []).append(row)
    for caution in VersionCaution.objects.filter(**of).order_by("pk"):
        parts.cautions.setdefault(caution.version_id, []).append(caution)
    shown = ProposalPicture.objects.filter(**of).select_related("picture__face")
    for line in shown.order_by("pk"):
        parts.pictures.setdefault(line.version_id, []).append(line.picture)
    return parts


def _view(
    proposal: Proposal,
    clock: Clock,
    parts: _Parts,
    read: frozenset[str],
) -> ProposalView:
    versions = list(proposal.versions.all())
    current = in_force(versions, clock)
    report = report_in_force(proposal)
    steps = list(proposal.steps.all())
    asked = report is not None and report.signed and report.second_reader_asked
    return ProposalView(
        proposal=proposal,
        versions=tuple(
            VersionView(
                version=version,
                options=tuple(parts.options.get(version.pk, ())),
                consents=version_consents(version, clock),
                decisions=tuple(version.consents.all()),
                excluded=excluded_in(version, clock),
                in_force=current is not None and current.pk == version.pk,
                cautions=tuple(parts.cautions.get(version.pk, ())),
                pictures=tuple(parts.pictures.get(version.pk, ())),
            )
            for version in reversed(versions)
        ),
        limits=limits_of(current, clock) if current else (),
        steps=tuple(steps),
        lines=step_lines(steps, versions, clock),
        open_deviations=tuple(open_deviations(steps, versions, clock)),
        report=report,
        finished=is_finished(report, read),
        second_reader_missing=asked and not is_finished(report, read),
    )


def on_showing(showing: Showing, at: datetime) -> TreatmentOnShowing:
    """Return what is recorded of treatment in one showing, in a fixed count of queries."""
    rows = whole_proposals(Proposal.objects.filter(showing=showing).order_by("pk"))
    steps = TreatmentStep.objects.filter(showing=showing, proposal=None)
    clock = clock_at(at)
    return TreatmentOnShowing(
        proposals=tuple(_views(list(rows), clock)),
        other_steps=step_lines(_with_names(steps), (), clock),
    )


def on_object(museum_object: MuseumObject, at: datetime) -> TreatmentOnShowing:
    """Return everything that was ever proposed for an object, and steps without a proposal."""
    rows = whole_proposals(Proposal.objects.filter(museum_object=museum_object).order_by("-pk"))
    steps = TreatmentStep.objects.filter(museum_object=museum_object, proposal=None)
    clock = clock_at(at)
    return TreatmentOnShowing(
        proposals=tuple(_views(list(rows), clock)),
        other_steps=step_lines(_with_names(steps), (), clock),
    )


def _with_names(steps: QuerySet[TreatmentStep, Any]) -> list[TreatmentStep]:
    return list(
        steps.select_related(
            "step",
            "material",
            "face",
            "feature",
            "observed_by",
            "standing",
            "showing",
            "medium_test",
            "museum_object",
        )
        .prefetch_related("findings__feature", "cautions")
        .order_by("observed_at", "pk")
    )
