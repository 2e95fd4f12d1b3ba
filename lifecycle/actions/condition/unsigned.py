"""Somebody left before signing: it is written down, and the report waits for the signed sheet."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.draft import about_report
from lifecycle.actions.condition.sign import COUNTERSIGNING
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.records.models.condition import ConditionReport, LeftUnsigned
from lifecycle.records.models.people import Person
from lifecycle.records.models.signing import Signature


@transaction.atomic
def note_left_unsigned(
    *,
    report: ConditionReport,
    person: Person,
    capacity: SignCapacity,
    left_at: datetime,
    because: str,
    by: Person,
    role: Role,
    at: datetime,
) -> LeftUnsigned:
    """Write down who went away before countersigning; it waits until their signature is there.

    :raises NotAllowed: if this role may not countersign here
    :raises Refused: an unsigned report, a signature that is there, no reason, a time to come
    """
    kept = (
        ConditionReport.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__museum_object")
        .get(pk=report.pk)
    )
    allow(by=by, role=role, deed=Deed.COUNTERSIGN, at=at, about=about_report(kept))
    reasons = []
    if not kept.signed:
        text = f"{kept} is not signed by its author yet: there was nothing to countersign."
        reasons.append(Reason(text, code="condition.unsigned"))
    if capacity not in COUNTERSIGNING:
        reasons.append(Reason(f"A report is not signed as {capacity.label}.", "capacity"))
    signed = Signature.objects.filter(
        record_uid=kept.uid, record_version=kept.version, person=person, capacity=capacity
    )
    if signed.exists():
        text = f"{person} signed {kept} as {capacity.label}: nothing is waited for."
        reasons.append(Reason(text, "person", "condition.signed_already"))
    if LeftUnsigned.objects.filter(report=kept, person=person, capacity=capacity).exists():
        text = f"It stands on record already that {person} left before signing {kept}."
        reasons.append(Reason(text, "person", "condition.left_already"))
    if not because.strip():
        reasons.append(Reason("Say why there was no time to sign.", "because", "condition.why"))
    if left_at > at:
        reasons.append(Reason("That time is still to come.", "left_at", "condition.when"))
    if reasons:
        raise Refused(reasons)
    return LeftUnsigned(
        report=kept,
        person=person,
        capacity=capacity,
        left_at=left_at,
        because=because.strip(),
        entered_by=by,
        role=role,
        entered_at=at,
    ).append()
