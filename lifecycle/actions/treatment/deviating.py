"""Record one person's decision on a deviation; the proposal's clock runs again when all agree."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, attest
from lifecycle.actions.treatment.deciding import (
    Slip,
    check_right,
    faults_of_decision,
    standing_of,
)
from lifecycle.process.minutes import before
from lifecycle.process.words import SignCapacity
from lifecycle.queries.signed_text.treatment import DEVIATION_CONSENT, consent_text
from lifecycle.records.models.treatment import Decision, DeviationConsent, TreatmentStep


@transaction.atomic
def decide_deviation(
    *, hand: Hand, at: datetime, step: TreatmentStep, decision: Decision, limits: str = ""
) -> DeviationConsent:
    """Write the decision on a logged deviation.

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
    check_right(hand=hand, at=at, version=version)
    decided_at = hand.signed_at or at
    reasons = list(faults_of_decision(decision=decision, limits=limits, valid_until=None, at=at))
    if before(decided_at, held.observed_at):
        reasons.append(Reason("The decision can't be older than the step.", "signed_at"))
    if reasons:
        raise Refused(reasons)
    standing = standing_of(hand.person, hand.role, version.proposal, at)
    row = DeviationConsent(
        step=held,
        person=hand.person,
        role=hand.role,
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
        ),
        capacity=SignCapacity.CONSENT,
        hand=hand,
        at=at,
    )
    return row.append()
