"""Record one person's decision on a deviation; the proposal's clock runs again when all agree."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, attest
from lifecycle.actions.treatment.deciding import (
    Slip,
    Standing,
    check_right,
    faults_of_decision,
    faults_of_word,
    spoken,
    standing_of,
)
from lifecycle.process.minutes import before
from lifecycle.process.words import SignCapacity
from lifecycle.queries.signed_text.treatment import DEVIATION_CONSENT, CommunityWord, consent_text
from lifecycle.records.models.treatment import (
    SOURCE_COMMUNITY,
    Decision,
    DeviationConsent,
    TreatmentStep,
)


@transaction.atomic
def decide_deviation(
    *,
    hand: Hand,
    at: datetime,
    step: TreatmentStep,
    decision: Decision,
    limits: str = "",
    told: CommunityWord | None = None,
) -> DeviationConsent:
    """Write the decision on a logged deviation; ``told`` as with a consent to a version.

    :raises NotAllowed: if the person may not consent here
    :raises Refused: if the step was no deviation, or the words are incomplete
    """
    held = (
        TreatmentStep.objects.select_for_update(of=("self",))
        .select_related(
            "step", "version__proposal__museum_object", "version__proposal__showing__exhibition"
        )
        .get(pk=step.pk)
    )
    version = held.version
    if not held.deviation or version is None:
        raise Refused(Reason("This step kept to what was consented.", code="deviation.none"))
    if held.corrected_by.exists():
        text = "This step was written again: decide on the line that stands for it now."
        raise Refused(Reason(text, code="deviation.struck"))
    check_right(hand=hand, at=at, version=version, told=told)
    decided_at = told.given_at if told else hand.signed_at or at
    reasons = list(faults_of_decision(decision=decision, limits=limits, valid_until=None, at=at))
    reasons += faults_of_word(told, hand, at)
    if before(decided_at, held.observed_at):
        field = "given_at" if told else "signed_at"
        reasons.append(Reason("The decision can't be older than the step.", field))
    if reasons:
        raise Refused(reasons)
    standing = Standing() if told else standing_of(hand.person, hand.role, version.proposal, at)
    row = DeviationConsent(
        step=held,
        person=hand.person,
        role=SOURCE_COMMUNITY if told else hand.role,
        **spoken(told),
        decision=decision,
        limits=limits.strip(),
        for_person=standing.for_person,
        deputy_term=standing.term,
        decided_at=decided_at,
        entered_at=at,
        entered_by=hand.read_back_by or hand.person,
    )
    row.signature = attest(
        kind_name=DEVIATION_CONSENT,
        record=Slip(uid=row.uid),
        text=consent_text(
            title="Decision on a deviation in treatment",
            about=f"{held.step.label}, {held.deviation_why}",
            digest=version.digest,
            person=hand.person,
            role_label=hand.role.label,
            decision=decision,
            limits=limits,
            excluded=(),
            valid_until=None,
            for_person=standing.for_person,
            told=told,
        ),
        capacity=SignCapacity.CONSENT,
        hand=hand,
        at=at,
    )
    return row.append()
