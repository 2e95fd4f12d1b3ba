"""The treatment report: written from the log, signed by who treated, read by a second."""

from collections.abc import Iterator
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.actions.whole_reports import TEXTS, missing_of_report
from lifecycle.process.minutes import before as earlier
from lifecycle.process.rights import NOTHING, Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.queries.treatment.covering import standing_only
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.rules import HouseRules
from lifecycle.records.models.treatment import (
    FacePictures,
    Proposal,
    TreatmentReport,
)


def _held(proposal: Proposal, *, by: Person, role: Role, at: datetime) -> Proposal:
    Proposal.objects.select_for_update().get(pk=proposal.pk)
    held: Proposal = whole_proposals(Proposal.objects.filter(pk=proposal.pk)).get()
    about = NOTHING if held.showing is None else about_showing(held.showing)
    allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about)
    return held


@transaction.atomic
def start_report(
    *, by: Person, role: Role, at: datetime, proposal: Proposal, correction_why: str = ""
) -> TreatmentReport:
    """Begin the report; when one is signed, begin the version that corrects it.

    :raises Refused: if nothing was done, a draft is open, or a correction says not why
    """
    held = _held(proposal, by=by, role=role, at=at)
    reports = list(held.reports.all())
    if not held.steps.all():
        raise Refused(f"No step is logged under {held.proposal_no}: there is nothing to report.")
    if any(not report.signed for report in reports):
        raise Refused(f"A draft of the report on {held.proposal_no} is open: write that one.")
    last = reports[-1] if reports else None
    if last is not None and not correction_why.strip():
        text = "Say what the signed report has wrong, and why it is corrected."
        raise Refused(Reason(text, "correction_why"))
    rules = HouseRules.objects.filter(valid_from__lte=museum_day(at)).order_by("-version").first()
    report = TreatmentReport(
        proposal=held,
        version=last.version + 1 if last else 1,
        author=by,
        corrects=last,
        correction_why=correction_why.strip() if last else "",
        second_reader_asked=rules is not None and rules.second_reader_needed,
    )
    if last is not None:
        for name in TEXTS:
            setattr(report, name, getattr(last, name))
        report.callback_on, report.after_check = last.callback_on, last.after_check
    report.keep(by=by, role=role, why="report begun", at=at)
    for pair in last.pairs.all() if last is not None else ():
        FacePictures(report=report, face=pair.face, before=pair.before, after=pair.after).keep(
            by=by, role=role, why="taken over from the corrected report", at=at
        )
    return report


@transaction.atomic
def write_report(
    *,
    by: Person,
    role: Role,
    at: datetime,
    report: TreatmentReport,
    edition: int,
    words: dict[str, str],
    callback_on: date | None,
    after_check: ConditionReport | None,
    second_reader: Person | None = None,
) -> TreatmentReport:
    """Save the words of an unsigned report; ``words`` maps the names in ``TEXTS`` to text.

    :raises Conflict: if somebody saved meanwhile
    """
    draft = TreatmentReport.objects.select_for_update().get(pk=report.pk)
    held = _held(draft.proposal, by=by, role=role, at=at)
    if draft.signed:
        raise Refused(f"The report on {held.proposal_no} is signed: correct it in a new version.")
    if draft.edition != edition:
        who = who_saved(draft)
        raise Conflict(
            f"{who} saved the report on {held.proposal_no} while you were writing. Nothing of "
            "yours is lost: put both together and save again.",
            theirs={name: getattr(draft, name) for name in TEXTS},
            mine={name: words.get(name, "") for name in TEXTS},
            by=who,
            version=draft.edition,
        )
    reasons = []
    if after_check is not None and after_check.museum_object_id != held.museum_object_id:
        reasons.append(Reason("This check is about another object.", "after_check"))
    if second_reader is not None and second_reader.pk == draft.author_id:
        reasons.append(Reason("The second reader is somebody else.", "second_reader"))
    if callback_on is not None and callback_on <= museum_day(at):
        reasons.append(Reason("A day to look again lies in the future.", "callback_on"))
    if reasons:
        raise Refused(reasons)
    for name in TEXTS:
        setattr(draft, name, words.get(name, "").strip())
    draft.callback_on, draft.after_check = callback_on, after_check
    draft.second_reader = second_reader
    draft.edition += 1
    return draft.keep(by=by, role=role, why="report saved", at=at)


@transaction.atomic
def pair_pictures(
    *,
    by: Person,
    role: Role,
    at: datetime,
    report: TreatmentReport,
    face: Face,
    before: Picture,
    after: Picture,
) -> FacePictures:
    """Put the pictures of one face before and after side by side.

    :raises Refused: unless both show that face, in the same light, in the right order of time
    """
    draft = TreatmentReport.objects.select_for_update().get(pk=report.pk)
    held = _held(draft.proposal, by=by, role=role, at=at)
    if draft.signed:
        raise Refused(f"The report on {held.proposal_no} is signed: correct it in a new version.")
    if reasons := list(_faults_of_pair(held, face, before, after)):
        raise Refused(reasons)
    pair = FacePictures.objects.filter(report=draft, face=face).first() or FacePictures(
        report=draft, face=face
    )
    pair.before, pair.after = before, after
    return pair.keep(by=by, role=role, why="pictures before and after chosen", at=at)


def _faults_of_pair(
    held: Proposal, face: Face, before: Picture, after: Picture
) -> Iterator[Reason]:
    if face.museum_object_id != held.museum_object_id:
        yield Reason(f"{face.label} is not a face of {held.museum_object}.", "face")
    for field, picture in (("before", before), ("after", after)):
        if picture.face_id != face.pk:
            yield Reason(f"{picture} does not show {face.label}.", field)
        if not picture.light or picture.taken_at is None:
            yield Reason(f"{picture} does not say when and in which light it was taken.", field)
    if before.light and after.light and before.light != after.light:
        text = "Before and after must be taken in the same light, or they can't be compared."
        yield Reason(text, "after", "treatment.images")
    # Every step of the face counts, emergencies too: 'before' is before anything was done.
    steps = standing_only(held.steps.all())
    done = [s.observed_at for s in steps if s.face_id in (None, face.pk)]
    if done and before.taken_at and earlier(min(done), before.taken_at):
        yield Reason(f"{before} was taken after the first step on this face.", "before")
    if done and after.taken_at and earlier(after.taken_at, max(done)):
        yield Reason(f"{after} was taken before the last step on this face.", "after")


@transaction.atomic
def sign_report(*, hand: Hand, at: datetime, report: TreatmentReport) -> TreatmentReport:
    """Sign the report as the one who treated; from then on it is frozen.

    :raises Refused: with everything that is missing
    """
    draft = (
        TreatmentReport.objects.select_for_update(of=("self",))
        .select_related("after_check", "author", "second_reader")
        .get(pk=report.pk)
    )
    held = _held(draft.proposal, by=hand.person, role=hand.role, at=at)
    if draft.signed:
        raise Refused(f"The report on {held.proposal_no} is signed already.")
    if reasons := list(missing_of_report(draft, held, hand.person, at)):
        raise Refused(reasons)
    sign(record=draft, capacity=SignCapacity.AUTHOR, hand=hand, at=at)
    return draft


@transaction.atomic
def second_read(*, hand: Hand, at: datetime, report: TreatmentReport) -> TreatmentReport:
    """Sign a signed report as its second reader."""
    held = (
        TreatmentReport.objects.select_for_update(of=("self",))
        .select_related("author", "second_reader", "proposal")
        .get(pk=report.pk)
    )
    allow(by=hand.person, role=hand.role, deed=Deed.EXAMINE, at=at)
    name = f"The report on {held.proposal.proposal_no}"
    if not held.signed:
        raise Refused(f"{name} is not signed by {held.author.full_name} yet.")
    if hand.person.pk == held.author_id:
        raise Refused(f"{name} is yours: somebody else reads it as second.")
    if held.second_reader_id not in (None, hand.person.pk):
        raise Refused(f"{name} names {held.second_reader} as second reader.")
    sign(record=held, capacity=SignCapacity.SECOND_READER, hand=hand, at=at)
    return held


@transaction.atomic
def co_sign(*, hand: Hand, at: datetime, report: TreatmentReport) -> TreatmentReport:
    """Sign a signed report as one who treated beside its author.

    :raises Refused: if it is not signed yet, or no step in it is theirs
    """
    held = (
        TreatmentReport.objects.select_for_update(of=("self",))
        .select_related("author", "proposal")
        .get(pk=report.pk)
    )
    proposal = _held(held.proposal, by=hand.person, role=hand.role, at=at)
    name = f"The report on {proposal.proposal_no}"
    if not held.signed:
        raise Refused(f"{name} is not signed by {held.author.full_name} yet.")
    if hand.person.pk not in treated_beside(held, proposal):
        raise Refused(f"{name} holds no step of {hand.person.full_name}: only who treated signs.")
    sign(record=held, capacity=SignCapacity.CO_AUTHOR, hand=hand, at=at)
    return held


def treated_beside(report: TreatmentReport, proposal: Proposal) -> set[int]:
    """Row ids of those who treated beside the author, up to the signature of the report."""
    steps = [
        step
        for step in proposal.steps.all()
        if report.signed_at is None or step.entered_at <= report.signed_at
    ]
    return {step.observed_by_id for step in standing_only(steps)} - {report.author_id}
