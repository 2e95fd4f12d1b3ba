"""Proposals as the gates see them, for one showing or a whole exhibition in a fixed count."""

from collections.abc import Iterable, Sequence

from lifecycle.process.days import day_words
from lifecycle.process.facts.treatment import (
    AskedAgainFacts,
    DeviationFacts,
    ProposalFacts,
    TreatedFace,
)
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role
from lifecycle.process.words import FaceKind, LightKind, SignCapacity
from lifecycle.queries.treatment.asked_again import open_asked_of
from lifecycle.queries.treatment.consenting import Clock, version_consents
from lifecycle.queries.treatment.covering import deviation_waits_for, open_deviations, standing_only
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.objects import Face
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment import Proposal, StillFits, TreatmentReport


def proposal_facts_of(
    showings: Sequence[Showing], clock: Clock
) -> dict[int, tuple[ProposalFacts, ...]]:
    """Return, per showing, its proposals that were not dropped; each in its latest sent version."""
    found: dict[int, list[ProposalFacts]] = {showing.pk: [] for showing in showings}
    proposals = list(
        whole_proposals(Proposal.objects.filter(showing__in=found, dropped_at=None).order_by("pk"))
    )
    faces = _faces_of(proposals)
    read = second_readings(proposals)
    for proposal in proposals:
        if proposal.showing_id is not None:
            facts = _facts(proposal, clock, faces[proposal.museum_object_id], read)
            found[proposal.showing_id].append(facts)
    return {pk: tuple(lines) for pk, lines in found.items()}


def asked_again_of(
    showings: Sequence[Showing], clock: Clock
) -> dict[int, tuple[AskedAgainFacts, ...]]:
    """Return, per showing, what findings put in doubt and nobody settled; a fixed count."""
    return {
        pk: tuple(
            AskedAgainFacts(
                uid=str(view.asked.finding.uid),
                feature=f"F{view.asked.finding.feature.number}",
                kind=AskedKind(view.asked.kind),
                number=view.asked.subject_no,
                because=view.asked.because,
                role=Role(view.asked.role),
                asked_on=clock.day(view.asked.asked_at),
                person=view.asked.person.full_name if view.asked.person else "",
                person_id=view.asked.person_id,
                made_anew=view.answer is not None and view.answer.answer == StillFits.MADE_ANEW,
            )
            for view in views
        )
        for pk, views in open_asked_of(showings).items()
    }


def _faces_of(proposals: Sequence[Proposal]) -> dict[int, list[Face]]:
    by_object: dict[int, list[Face]] = {p.museum_object_id: [] for p in proposals}
    for face in Face.objects.filter(museum_object__in=by_object).order_by("order", "pk"):
        by_object[face.museum_object_id].append(face)
    return by_object


def second_readings(proposals: Iterable[Proposal]) -> frozenset[str]:
    """Return the uids of the reports a second reader has signed; one query."""
    uids = [report.uid for proposal in proposals for report in proposal.reports.all()]
    signed = Signature.objects.filter(
        record_uid__in=uids, capacity=SignCapacity.SECOND_READER
    ).values_list("record_uid", flat=True)
    return frozenset(str(uid) for uid in signed)


def report_in_force(proposal: Proposal) -> TreatmentReport | None:
    """Return the newest signed report, or the draft when none is signed."""
    reports = list(proposal.reports.all())
    signed = [report for report in reports if report.signed]
    return (signed or reports)[-1] if reports else None


def is_finished(report: TreatmentReport | None, second_read: frozenset[str]) -> bool:
    """Whether the report is signed, and by the second reader too where one is asked for."""
    if report is None or not report.signed:
        return False
    return not report.second_reader_asked or str(report.uid) in second_read


def treated_faces(proposal: Proposal, faces: Sequence[Face]) -> list[Face]:
    """Return the faces that were treated; a step that names none may have touched them all."""
    touched = {step.face_id for step in standing_only(proposal.steps.all())}
    return [face for face in faces if None in touched or face.pk in touched]


SHEET = (FaceKind.RECTO, FaceKind.VERSO)


def faces_to_picture(
    proposal: Proposal, faces: Sequence[Face], report: TreatmentReport | None
) -> list[Face]:
    """Return the faces wanted before and after: those treated, and the other side of a sheet.

    What is done to one side of a sheet shows on the other (common practice: pictures of both
    faces). Where a side can't be pictured, the report says which and why.
    """
    treated = treated_faces(proposal, faces)
    if report is not None and report.not_pictured:
        return treated
    sides = [[one for one in faces if one.kind == kind] for kind in SHEET]
    is_sheet = all(len(one) == 1 for one in sides)
    sheet = [one[0] for one in sides] if is_sheet else []
    both = any(face in treated for face in sheet)
    return [face for face in faces if face in treated or (both and face in sheet)]


def _facts(
    proposal: Proposal, clock: Clock, faces: Sequence[Face], read: frozenset[str]
) -> ProposalFacts:
    versions = list(proposal.versions.all())
    sent = [version for version in versions if version.signed]
    latest = (sent or versions)[-1]
    report = report_in_force(proposal)
    pairs = {pair.face_id: pair for pair in report.pairs.all()} if report else {}
    lights = {
        face_id: (
            frozenset({LightKind(pair.before.light)} if pair.before.light else set()),
            frozenset({LightKind(pair.after.light)} if pair.after.light else set()),
        )
        for face_id, pair in pairs.items()
    }
    deviations = tuple(
        DeviationFacts(
            uid=str(step.uid),
            label=f"{day_words(clock.day(step.observed_at))} {step.step.label}",
            since=clock.day(step.observed_at),
            waits_for=tuple(one.role for one in waits if not one.community),
            community=next((one.community for one in waits if one.community), ""),
        )
        for step in open_deviations(proposal.steps.all(), versions, clock)
        for waits in [deviation_waits_for(step, versions, clock)]
    )
    nothing: tuple[frozenset[LightKind], frozenset[LightKind]] = (frozenset(), frozenset())
    return ProposalFacts(
        uid=str(proposal.uid),
        number=proposal.proposal_no,
        version=latest.version,
        consents=version_consents(latest, clock) if latest.signed else (),
        aftercare=proposal.aftercare,
        faces=tuple(
            TreatedFace(
                face_id=face.pk,
                label=face.label,
                before=lights.get(face.pk, nothing)[0],
                after=lights.get(face.pk, nothing)[1],
            )
            for face in faces_to_picture(proposal, faces, report)
        ),
        open_deviations=tuple(one.label for one in deviations),
        deviations=deviations,
        report_no=proposal.proposal_no if report else "",
        report_signed=is_finished(report, read),
        sent=bool(sent),
        version_uid=str(latest.uid),
        hours=None if latest.hours_est is None else float(latest.hours_est),
        start_not_before=latest.start_not_before,
        finish_by=latest.finish_by,
    )
