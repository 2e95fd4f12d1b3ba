"""Record one person's decision on one version of a proposal."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

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
from lifecycle.process.days import day_words
from lifecycle.process.minutes import before
from lifecycle.process.words import SignCapacity
from lifecycle.queries.rights import museum_day
from lifecycle.queries.signed_text.treatment import CONSENT, CommunityWord, consent_text
from lifecycle.records.models.objects import Face
from lifecycle.records.models.treatment import (
    SOURCE_COMMUNITY,
    Consent,
    ConsentExclusion,
    Decision,
    ProposalVersion,
)
from lifecycle.records.models.words import Word


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A step a consent does not cover, on one face or (None) on every face."""

    step: Word
    face: Face | None = None

    @property
    def label(self) -> str:
        return f"{self.step.label} on {self.face.label if self.face else 'every face'}"


@transaction.atomic
def give_consent(
    *,
    hand: Hand,
    at: datetime,
    version: ProposalVersion,
    decision: Decision,
    limits: str = "",
    valid_until: date | None = None,
    left_out: Sequence[LeftOut] = (),
    told: CommunityWord | None = None,
) -> Consent:
    """Write the decision; it counts for this version alone and lapses by the house rules.

    ``told``: it is the answer of the source community, put on record and signed by ``hand``.

    :raises NotAllowed: if the person may not consent here
    :raises Refused: if the version was not sent, is finished, or the words are incomplete
    """
    held = (
        ProposalVersion.objects.select_for_update(of=("self",))
        .select_related("proposal__museum_object", "proposal__showing__exhibition")
        .get(pk=version.pk)
    )
    proposal = held.proposal
    name = f"v{held.version} of {proposal.proposal_no}"
    check_right(hand=hand, at=at, version=held, told=told)
    if not held.signed or held.signed_at is None:
        raise Refused(Reason(f"{name} was not sent yet: wait until it is.", code="proposal.unsent"))
    if proposal.dropped_at is not None:
        raise Refused(f"{proposal.proposal_no} was dropped: there is nothing to decide.")
    if proposal.reports.exclude(digest="").exists():
        raise Refused(f"The treatment report on {proposal.proposal_no} is signed already.")
    reasons = list(
        faults_of_decision(decision=decision, limits=limits, valid_until=valid_until, at=at)
    )
    reasons += _faults_of_exclusions(held, decision, left_out)
    reasons += faults_of_word(told, hand, at)
    decided_at = told.given_at if told else hand.signed_at or at
    if before(decided_at, held.signed_at):
        sent_on = day_words(museum_day(held.signed_at))
        text = f"{name} was sent only on {sent_on}: the decision can't be older."
        reasons.append(Reason(text, "given_at" if told else "signed_at"))
    if reasons:
        raise Refused(reasons)
    standing = Standing() if told else standing_of(hand.person, hand.role, proposal, at)
    consent = Consent(
        version=held,
        person=hand.person,
        role=SOURCE_COMMUNITY if told else hand.role,
        **spoken(told),
        decision=decision,
        limits=limits.strip(),
        valid_until=valid_until,
        for_person=standing.for_person,
        deputy_term=standing.term,
        decided_at=decided_at,
        entered_at=at,
        entered_by=hand.read_back_by or hand.person,
    )
    consent.signature = attest(
        kind_name=CONSENT,
        record=Slip(uid=consent.uid),
        text=consent_text(
            title="Decision on a treatment proposal",
            about=name,
            digest=held.digest,
            person=hand.person,
            role_label=hand.role.label,
            decision=decision,
            limits=limits,
            excluded=tuple(exclusion.label for exclusion in left_out),
            valid_until=valid_until,
            for_person=standing.for_person,
            told=told,
        ),
        capacity=SignCapacity.CONSENT,
        hand=hand,
        at=at,
    )
    consent.append()
    for exclusion in left_out:
        ConsentExclusion(consent=consent, step=exclusion.step, face=exclusion.face).append()
    return consent


def _faults_of_exclusions(
    version: ProposalVersion, decision: Decision, left_out: Sequence[LeftOut]
) -> list[Reason]:
    if left_out and decision is not Decision.AGREE_WITHIN_LIMITS:
        text = "You left steps out: then choose ‘agree within limits’."
        return [Reason(text, "decision")]
    planned = set(version.steps.filter(left_out=False).values_list("step", flat=True))
    return [
        Reason(f"{line.step.label} is not among the planned steps.", "left_out")
        for line in left_out
        if line.step.pk not in planned
    ]
