"""Sign a report, have it read by a second person, correct it by a new version, strike a draft."""

from datetime import datetime
from typing import Any, Final

from django.db import models, transaction
from django.db.models import Max

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.draft import about_report, deed_for, open_draft, put_examiners
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind, SignCapacity
from lifecycle.records.models.condition import (
    AsFound,
    BenchCheck,
    ConditionReport,
    InkRating,
    InkTest,
    LightUsed,
    NotSeen,
    Observation,
    Recommendation,
    ReportFace,
    ReportSection,
)
from lifecycle.records.models.people import Person
from lifecycle.records.models.signing import Signature

#: As what a second name is given, in the order in which it is offered.
COUNTERSIGNING: Final = (
    SignCapacity.SECOND_READER,
    SignCapacity.COUNTERSIGNED,
    SignCapacity.CO_AUTHOR,
    SignCapacity.WITNESS,
    SignCapacity.COURIER,
    SignCapacity.LENDER,
    SignCapacity.RECEIVED_BY,
)
_PARTS: Final[tuple[type[Any], ...]] = (
    *(ReportFace, NotSeen, LightUsed, ReportSection, Recommendation, AsFound, BenchCheck),
    *(InkRating, InkTest, Observation),
)
#: Parts that name a row of an earlier part; their copies name its copy.
_NAMES: Final[dict[type[Any], tuple[str, type[Any]]]] = {
    InkTest: ("area", InkRating),
    Observation: ("seen_in", LightUsed),
}


@transaction.atomic
def sign_report(*, report: ConditionReport, hand: Hand, at: datetime) -> Signature:
    """Sign as its author; from then on the report is frozen.

    :raises NotAllowed: if the person's role may not write this kind of report
    :raises Refused: with everything that is still missing, all at once; the draft stays
    """
    typed_by, typed_role = hand.read_back_by or hand.person, hand.role
    if hand.read_back_by is None:
        kept = open_draft(report, by=typed_by, role=typed_role, at=at)
    else:
        kept = _open_for_reading_back(report, hand, at)
    if reasons := reasons_against_signing(kept, at=at, by=hand.person):
        raise Refused(reasons)
    return sign(record=kept, capacity=SignCapacity.AUTHOR, hand=hand, at=at)


def _open_for_reading_back(report: ConditionReport, hand: Hand, at: datetime) -> ConditionReport:
    """The one who signed on paper must hold the right; so must the one who reads it back."""
    kept = open_draft(report, by=hand.person, role=hand.role, at=at)
    if hand.read_back_by is not None and hand.read_back_role is not None:
        allow(
            by=hand.read_back_by,
            role=hand.read_back_role,
            deed=Deed.COUNTERSIGN,
            at=at,
            about=about_report(kept),
        )
    return kept


@transaction.atomic
def countersign_report(
    *, report: ConditionReport, capacity: SignCapacity, hand: Hand, at: datetime
) -> Signature:
    """Add a second name to a signed report: second reader, conservator under part A, courier.

    :raises NotAllowed: if the person's role may not countersign here
    :raises Refused: if it is not signed yet, or the author would countersign their own report
    """
    kept = (
        ConditionReport.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__museum_object")
        .get(pk=report.pk)
    )
    about = about_report(kept)
    allow(by=hand.person, role=hand.role, deed=Deed.COUNTERSIGN, at=at, about=about)
    reasons = []
    if capacity not in COUNTERSIGNING:
        reasons.append(Reason(f"A report is not signed as {capacity.label}.", "capacity"))
    if not kept.signed:
        text = f"{kept} is not signed by its author yet; it can be countersigned afterwards."
        reasons.append(Reason(text, code="condition.unsigned"))
    authors = Signature.objects.filter(
        record_uid=kept.uid, record_version=kept.version, capacity=SignCapacity.AUTHOR
    )
    if authors.filter(person=hand.person).exists() and capacity != SignCapacity.CO_AUTHOR:
        text = f"{hand.person} wrote {kept}: the second name has to be somebody else's."
        reasons.append(Reason(text, "person", "condition.second_name"))
    part_a = kept.kind == ReportKind.DEINSTALL_AT_CASE
    if part_a and capacity == SignCapacity.COUNTERSIGNED and hand.role != Role.CONSERVATOR:
        text = "Part A is countersigned by a conservator."
        reasons.append(Reason(text, "person", "condition.part_a_conservator"))
    if reasons:
        raise Refused(reasons)
    return sign(record=kept, capacity=capacity, hand=hand, at=at)


@transaction.atomic
def correct_report(
    *, report: ConditionReport, note: str, by: Person, role: Role, at: datetime
) -> ConditionReport:
    """Start the next version of a signed report as a draft that says what changes and why.

    :raises Refused: not signed, corrected already, or no note
    """
    signed = ConditionReport.objects.select_for_update(of=("self",)).get(pk=report.pk)
    allow(by=by, role=role, deed=deed_for(signed.kind), at=at, about=about_report(signed))
    reasons = []
    if not signed.signed:
        text = f"{signed} is a draft: change it in place."
        reasons.append(Reason(text, code="condition.unsigned"))
    later = ConditionReport.objects.filter(corrects=signed, struck_at=None).first()
    if later is not None:
        text = f"{signed} is corrected by {later}: go on from that version."
        reasons.append(Reason(text, code="condition.corrected"))
    if not note.strip():
        text = "Say what is changed and why; it stands on the new version for ever."
        reasons.append(Reason(text, "note", "condition.correction_note"))
    if reasons:
        raise Refused(reasons)
    draft: ConditionReport = _copy(signed)
    versions = ConditionReport.objects.filter(report_no=signed.report_no)
    draft.version = (versions.aggregate(last=Max("version"))["last"] or 1) + 1
    draft.corrects, draft.correction_note = signed, note.strip()
    draft.signed_at, draft.digest, draft.signed_text = None, "", ""
    draft.entered_at, draft.entered_by, draft.code = at, by, ""
    why = f"corrects {signed}: {note.strip()}"
    draft.keep(by=by, role=role, why=why, at=at)
    put_examiners(draft, signed.examiners.all())
    draft.keep(by=by, role=role, why="examiners carried over", at=at)
    twins: dict[tuple[type[Any], int], Any] = {}
    for part in _PARTS:
        for row in part._default_manager.filter(report=signed).order_by("pk"):
            twins[part, row.pk] = twin = _copy(row)
            twin.report = draft
            if isinstance(twin, ReportSection):
                twin.taken_by = twin.taken_at = None
            if part in _NAMES:
                name, other = _NAMES[part]
                setattr(twin, name, twins.get((other, getattr(row, f"{name}_id"))))
            twin.keep(by=by, role=role, why=why, at=at)
    return draft


def _copy(row: models.Model) -> Any:
    """A new row with the same values and its own identity."""
    own = {"id", "uid"}
    values = {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.name not in own
    }
    return type(row)(**values)


@transaction.atomic
def strike_draft(
    *, report: ConditionReport, why: str, by: Person, role: Role, at: datetime
) -> ConditionReport:
    """Strike a draft that is not wanted; it stays readable, its number is not used again.

    :raises Refused: signed already, or no reason
    """
    kept = open_draft(report, by=by, role=role, at=at)
    if not why.strip():
        raise Refused(Reason("Say why the draft is struck.", "why", "condition.why"))
    kept.struck_at, kept.struck_reason = at, why.strip()
    return kept.keep(by=by, role=role, why=why.strip(), at=at)
