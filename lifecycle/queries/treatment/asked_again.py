"""What a finding put in doubt: gathered when it is made, and open until it is settled.

A consent is settled by that party's next word, or a later version sent; a picture, a facsimile, a
mount by the new one that was accepted, approved or tried after the finding; an account by an
assessment or an answer signed after it. All but consents are settled too by the word that the
thing still fits.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch, QuerySet

from lifecycle.process.finding_effects import AskedKind, Made
from lifecycle.process.stages import Role
from lifecycle.queries.treatment.consenting import Clock, party_of
from lifecycle.queries.treatment.covering import in_force
from lifecycle.records.models.display.assessment import Assessment
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.preparation import (
    Facsimile,
    FacsimileState,
    FitCheck,
    ImagingJob,
    ImagingPurpose,
    Mount,
)
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    AGREED,
    AskedAgain,
    AskedAgainAnswer,
    Consent,
    Decision,
    Proposal,
    ProposalVersion,
    StillFits,
    TreatmentFinding,
)

GONE = (FacsimileState.KEPT, FacsimileState.DESTROYED)
PASSING = (ImagingPurpose.RECORD_DURING, ImagingPurpose.DAMAGE_DETAIL)
"""Pictures of a moment: they show what was there then, and nothing puts that in doubt."""


def made_so_far(
    museum_object: MuseumObject, proposal: Proposal | None, clock: Clock
) -> Iterator[Made]:
    """Yield what stands for an object before a finding; a fixed number of queries.

    ``proposal`` was read by ``whole_proposals``.
    """
    if proposal is not None:
        yield from _consents(proposal, clock)
    jobs = ImagingJob.objects.filter(
        face__museum_object=museum_object, dropped_at=None, delivered_at__isnull=False
    ).exclude(purpose__in=PASSING)
    for job in jobs.order_by("pk"):
        yield Made(
            kind=AskedKind.IMAGING,
            uid=str(job.uid),
            number=job.job_no,
            role=Role.CONSERVATOR,
            faces=frozenset({job.face_id}),
            person_id=job.asked_by_id,
        )
    copies = Facsimile.objects.filter(of_face__museum_object=museum_object)
    copies = copies.exclude(state__in=[*GONE, FacsimileState.ASKED])
    for copy in copies.order_by("pk"):
        yield Made(
            kind=AskedKind.FACSIMILE,
            uid=str(copy.uid),
            number=copy.facsimile_no,
            role=Role.CURATOR,
            faces=frozenset({copy.of_face_id}),
            person_id=copy.approved_by_id,
        )
    mounts = Mount.objects.filter(museum_object=museum_object, retired_at=None)
    for mount in mounts.prefetch_related("faces").order_by("pk"):
        yield Made(
            kind=AskedKind.MOUNT,
            uid=str(mount.uid),
            number=mount.mount_no,
            role=Role.MOUNT_MAKER,
            faces=frozenset(row.face_id for row in mount.faces.all() if not row.dropped),
            person_id=mount.with_whom_id,
        )
    for face in Face.objects.filter(museum_object=museum_object).order_by("order", "pk"):
        yield Made(
            kind=AskedKind.ACCOUNT,
            uid=str(face.uid),
            number=face.label,
            role=Role.CONSERVATOR,
            faces=frozenset({face.pk}),
        )


def _consents(proposal: Proposal, clock: Clock) -> Iterator[Made]:
    """The agreements to the version in force, with the faces its steps are planned on."""
    version = in_force(list(proposal.versions.all()), clock)
    if version is None:
        return
    planned = [step.face_id for step in version.steps.all()]
    faces = frozenset() if None in planned else frozenset(pk for pk in planned if pk is not None)
    latest: dict[str, Consent] = {}
    for consent in version.consents.all():
        if consent.decided_at <= clock.moment:
            latest[party_of(consent)] = consent
    for consent in latest.values():
        if Decision(consent.decision) in AGREED:
            yield Made(
                kind=AskedKind.CONSENT,
                uid=str(version.uid),
                number=f"{proposal.proposal_no} v{version.version}",
                role=Role.REGISTRAR if consent.community else Role(consent.role),
                faces=faces,
                person_id=None if consent.community else int(party_of(consent)),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedView:
    """One thing asked again, whether it is settled, and in which words."""

    asked: AskedAgain
    answer: AskedAgainAnswer | None
    settled: str

    @property
    def open(self) -> bool:
        return not self.settled


def asked_rows() -> QuerySet[AskedAgain, Any]:
    answers = AskedAgainAnswer.objects.select_related("by").order_by("at", "pk")
    return (
        # Asked with every showing, and few have one: nothing of these is asked where there is none.
        AskedAgain.objects.select_related("person")
        .prefetch_related(
            "finding__museum_object",
            "finding__feature__face",
            "finding__step__proposal",
            Prefetch("answers", answers),
        )
        .order_by("pk")
    )


def with_standing(rows: Iterable[AskedAgain]) -> list[AskedView]:
    """Return each with how it stands; at most seven queries whatever their number."""
    asked = list(rows)
    later = _Later(asked)
    found = []
    for row in asked:
        answers = list(row.answers.all())
        last = answers[-1] if answers else None
        settled = later.settled(row)
        if not settled and last is not None and last.answer == StillFits.STILL_FITS:
            settled = f"{last.by.full_name}: it still fits. {last.why}"
        found.append(AskedView(asked=row, answer=last, settled=settled))
    return found


class _Later:
    """What was agreed or made after each was asked, read for all of them at once."""

    def __init__(self, asked: Sequence[AskedAgain]) -> None:
        self._uids: dict[AskedKind, list[Any]] = defaultdict(list)
        for row in asked:
            self._uids[AskedKind(row.kind)].append(row.subject_uid)
        self._versions = self._read_versions()
        self._moments: dict[AskedKind, dict[Any, list[tuple[datetime, str]]]] = {
            AskedKind.IMAGING: self._jobs(),
            AskedKind.FACSIMILE: self._copies(),
            AskedKind.MOUNT: self._mounts(),
        }
        showings = [
            row.finding.showing_id
            for row in asked
            if row.kind == AskedKind.ACCOUNT and row.finding.showing_id is not None
        ]
        self._assessed: dict[int, list[datetime]] = defaultdict(list)
        if showings:
            signed = Assessment.objects.filter(showing__in=showings).exclude(digest="")
            for showing_id, at in signed.values_list("showing", "signed_at"):
                if at is not None:
                    self._assessed[showing_id].append(at)

    def settled(self, row: AskedAgain) -> str:
        """The words of what settled it, or nothing."""
        match AskedKind(row.kind):
            case AskedKind.CONSENT:
                return self._consented(row)
            case AskedKind.ACCOUNT:
                showing_id = row.finding.showing_id
                signed = self._assessed.get(showing_id, []) if showing_id is not None else []
                after = any(at > row.asked_at for at in signed)
                return "assessed again since" if after else ""
            case kind:
                moments = self._moments[kind].get(row.subject_uid, [])
                return next((words for at, words in moments if at > row.asked_at), "")

    def _read_versions(self) -> dict[Any, ProposalVersion]:
        uids = self._uids[AskedKind.CONSENT]
        if not uids:
            return {}
        versions = ProposalVersion.objects.order_by("version")
        rows = (
            ProposalVersion.objects.filter(uid__in=uids)
            .select_related("proposal")
            .prefetch_related(
                Prefetch("proposal__versions", versions),
                Prefetch("proposal__versions__consents", Consent.objects.order_by("decided_at")),
            )
        )
        return {row.uid: row for row in rows}

    def _consented(self, row: AskedAgain) -> str:
        version = self._versions.get(row.subject_uid)
        if version is None:
            return ""
        if version.proposal.dropped_at is not None:
            return "the proposal was dropped"
        for one in version.proposal.versions.all():
            if one.signed_at is not None and one.signed_at > row.asked_at:
                return f"v{one.version} was sent for consent since"
            for consent in one.consents.all():
                of_community = row.person_id is None and bool(consent.community)
                theirs = of_community or party_of(consent) == str(row.person_id)
                if theirs and consent.decided_at > row.asked_at:
                    return f"{Decision(consent.decision).label}, said since"
        return ""

    def _jobs(self) -> dict[Any, list[tuple[datetime, str]]]:
        uids = self._uids[AskedKind.IMAGING]
        found: dict[Any, list[tuple[datetime, str]]] = {}
        jobs = list(ImagingJob.objects.filter(uid__in=uids)) if uids else []
        faces = {job.face_id for job in jobs}
        newer = ImagingJob.objects.filter(face__in=faces, accepted_at__isnull=False)
        accepted = list(newer) if jobs else []
        for job in jobs:
            moments: list[tuple[datetime, str]] = []
            if job.dropped_at:
                moments.append((job.dropped_at, "the job was dropped"))
            for one in accepted:
                if one.face_id == job.face_id and one.purpose == job.purpose and one.accepted_at:
                    moments.append((one.accepted_at, f"{one.job_no} was accepted since"))
            found[job.uid] = moments
        return found

    def _copies(self) -> dict[Any, list[tuple[datetime, str]]]:
        uids = self._uids[AskedKind.FACSIMILE]
        copies = list(Facsimile.objects.filter(uid__in=uids)) if uids else []
        faces = {copy.of_face_id for copy in copies}
        newer = Facsimile.objects.filter(of_face__in=faces, approved_at__isnull=False)
        approved = list(newer) if copies else []
        found: dict[Any, list[tuple[datetime, str]]] = {}
        for copy in copies:
            moments: list[tuple[datetime, str]] = []
            if copy.ended_at:
                moments.append((copy.ended_at, "it is out of use"))
            for one in approved:
                if one.of_face_id == copy.of_face_id and one.approved_at:
                    moments.append((one.approved_at, f"{one.facsimile_no} was approved since"))
            found[copy.uid] = moments
        return found

    def _mounts(self) -> dict[Any, list[tuple[datetime, str]]]:
        uids = self._uids[AskedKind.MOUNT]
        mounts = list(Mount.objects.filter(uid__in=uids)) if uids else []
        found: dict[Any, list[tuple[datetime, str]]] = {
            mount.uid: [(mount.retired_at, "the mount was put aside")] if mount.retired_at else []
            for mount in mounts
        }
        if mounts:
            checks = FitCheck.objects.filter(mount__in=mounts).exclude(digest="")
            for uid, at in checks.values_list("mount__uid", "checked_at"):
                found[uid].append((at, "the fit was checked since"))
        return found


def finding_rows() -> QuerySet[TreatmentFinding, Any]:
    """Findings with everything their page names."""
    return TreatmentFinding.objects.select_related(
        "museum_object",
        "showing__exhibition",
        "step__step",
        "step__proposal",
        "feature__face",
        "feature__term",
        "picture",
        "component",
        "class_before",
        "class_now",
        "new_face",
        "observed_by",
    )


def open_asked_of(showings: Sequence[Showing]) -> dict[int, list[AskedView]]:
    """Return, per showing, what its findings put in doubt and nobody settled yet."""
    found: dict[int, list[AskedView]] = {showing.pk: [] for showing in showings}
    rows = asked_rows().filter(finding__showing__in=list(found))
    for view in with_standing(rows):
        showing_id = view.asked.finding.showing_id
        if view.open and showing_id is not None:
            found[showing_id].append(view)
    return found
