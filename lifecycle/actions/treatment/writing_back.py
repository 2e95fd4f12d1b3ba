"""Read a writing back: the decision, and the printed proposal it was written on."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.papers_out.returning import Return, mark_back
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.actions.treatment.consenting import LeftOut, give_consent
from lifecycle.process.stages import Role
from lifecycle.queries.signed_text.treatment import CommunityWord
from lifecycle.records.models.papers_out import Print
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import Consent, Decision, ProposalVersion


@transaction.atomic
def read_writing_back(
    *,
    by: Person,
    role: Role,
    at: datetime,
    hand: Hand,
    version: ProposalVersion,
    decision: Decision,
    limits: str = "",
    valid_until: date | None = None,
    left_out: Sequence[LeftOut] = (),
    sheet: Print | None = None,
    told: CommunityWord | None = None,
) -> Consent:
    """Write the decision as it stands on paper; its print counts as back, with the same scan.

    :raises Refused: as ``give_consent``, or if the print is of another version or came back before
    """
    given = give_consent(
        hand=hand,
        at=at,
        version=version,
        decision=decision,
        limits=limits,
        valid_until=valid_until,
        left_out=left_out,
        told=told,
    )
    if sheet is None:
        return given
    if sheet.record_uid != version.uid:
        text = f"{sheet.print_no} is no print of v{version.version}: consent counts for it alone."
        raise Refused(Reason(text, "sheet", "consent.other_print"))
    mark_back(
        by=by,
        role=role,
        at=at,
        prints=[sheet],
        details=Return(
            written_by_name=given.spoken_by,
            written_by=None if told else hand.person,
            observed_at=given.decided_at,
            kept_scan=hand.scan,
            note=f"Decision on v{version.version} of {version.proposal.proposal_no}",
        ),
    )
    return given
