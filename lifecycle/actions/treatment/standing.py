"""Standing consents: written, agreed by curator and head of collections, ended."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.process.bench_cautions import WET_STEPS
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.records.models.people import Organisation, Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.treatment import StandingConsent, StandingConsentStep
from lifecycle.records.models.words import Vocabulary, Word


@transaction.atomic
def write_standing_consent(
    *,
    by: Person,
    role: Role,
    at: datetime,
    object_type: Word,
    steps: Sequence[Word],
    limits: str,
    from_on: date,
    until_on: date,
    lender: Organisation | None = None,
    lender_writing: Document | None = None,
) -> StandingConsent:
    """Write one; it counts only when the curator and the head of collections have both agreed.

    :raises Refused: if a step is not minor, dates or limits are missing, or a lender has not
        written
    """
    allow(by=by, role=role, deed=Deed.TREAT, at=at)
    reasons = []
    if object_type.vocabulary != Vocabulary.OBJECT_TYPE:
        reasons.append(Reason("Choose a class of object.", "object_type"))
    if not steps:
        reasons.append(Reason("Name at least one minor step.", "steps"))
    for step in steps:
        if step.vocabulary != Vocabulary.TREATMENT_STEP:
            reasons.append(Reason(f"{step.label} is not a treatment step.", "steps"))
        elif step.code in WET_STEPS:
            text = f"{step.label} brings moisture or solvent: it is never a minor step."
            reasons.append(Reason(text, "steps", "standing.wet"))
    if not limits.strip():
        reasons.append(Reason("Say the limits.", "limits"))
    if until_on < from_on:
        reasons.append(Reason("The last day lies before the first.", "until_on"))
    if (lender is None) != (lender_writing is None):
        text = "For objects of a lender, name the lender and attach what the lender wrote."
        reasons.append(Reason(text, "lender_writing"))
    if reasons:
        raise Refused(reasons)
    standing = StandingConsent(
        standing_no=next_number("SC"),
        object_type=object_type,
        limits=limits.strip(),
        from_on=from_on,
        until_on=until_on,
        lender=lender,
        lender_writing=lender_writing,
        written_by=by,
        written_at=at,
    ).keep(by=by, role=role, why="standing consent written", at=at)
    for step in {step.pk: step for step in steps}.values():
        StandingConsentStep(standing=standing, step=step).keep(
            by=by, role=role, why="standing consent written", at=at
        )
    return standing


@transaction.atomic
def agree_standing_consent(
    *, by: Person, role: Role, at: datetime, standing: StandingConsent
) -> StandingConsent:
    """Agree as curator or as head of collections; each of the two agrees once.

    :raises NotAllowed: in any other role
    """
    if role not in (Role.CURATOR, Role.HEAD_OF_COLLECTIONS):
        raise NotAllowed(f"A standing consent is not agreed to by the {role.label}.")
    if role not in person_facts(by, at).roles:
        raise NotAllowed(f"{by.full_name} is not {role.label} here today.")
    held = StandingConsent.objects.select_for_update().get(pk=standing.pk)
    if held.ended_at is not None:
        raise Refused(f"{held.standing_no} was ended: write a new one.")
    if held.until_on < museum_day(at):
        raise Refused(f"{held.standing_no} ran out on {day_words(held.until_on)}: write a new one.")
    if role is Role.CURATOR:
        if held.curator_agreed_at is not None:
            raise Refused(f"{held.curator} has agreed to {held.standing_no} as curator already.")
        held.curator, held.curator_agreed_at = by, at
    else:
        if held.head_agreed_at is not None:
            raise Refused(f"{held.head} has agreed to {held.standing_no} already.")
        held.head, held.head_agreed_at = by, at
    return held.keep(by=by, role=role, why=f"agreed as {role.label}", at=at)


@transaction.atomic
def end_standing_consent(
    *, by: Person, role: Role, at: datetime, standing: StandingConsent, why: str
) -> StandingConsent:
    """End one before its day; steps done under it keep naming it."""
    if role not in (Role.CURATOR, Role.HEAD_OF_COLLECTIONS):
        raise NotAllowed("A standing consent is ended by a curator or the head of collections.")
    if role not in person_facts(by, at).roles:
        raise NotAllowed(f"{by.full_name} is not {role.label} here today.")
    held = StandingConsent.objects.select_for_update().get(pk=standing.pk)
    if held.ended_at is not None:
        raise Refused(f"{held.standing_no} was ended already.")
    if not why.strip():
        raise Refused(Reason("Say why it ends.", "why"))
    held.ended_at, held.ended_by, held.ended_why = at, by, why.strip()
    return held.keep(by=by, role=role, why=why, at=at)
