"""A lent object leaves: the exit is authorised in writing, the lender signs for it."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models import Document, Loan, Person
from lifecycle.records.models.loans import LoanState


@transaction.atomic
def authorise_exit(*, by: Person, role: Role, at: datetime, loan: Loan) -> Loan:
    """Authorise in writing that the objects of the loan leave the building.

    :raises Refused: when it is authorised already
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = Loan.objects.select_for_update().get(pk=loan.pk)
    if row.exit_authorised_at is not None:
        raise Refused(f"The exit under {row.agreement_no} is authorised already.")
    row.exit_authorised_by, row.exit_authorised_at = by, at
    if row.state in (LoanState.AGREED, LoanState.OBJECTS_HERE):
        row.state = LoanState.RETURNING.value
    return row.keep(by=by, role=role, why="exit authorised", at=at)


@transaction.atomic
def sign_receipt(
    *,
    by: Person,
    role: Role,
    at: datetime,
    loan: Loan,
    signed_by: str,
    signed_at: datetime,
    receipt: Document | None,
) -> Loan:
    """Record that the lender signed for the objects; the scan is the proof.

    :raises Refused: before the exit is authorised, nobody named, no scan, a moment ahead
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = Loan.objects.select_for_update().get(pk=loan.pk)
    reasons = []
    if row.exit_authorised_at is None:
        text = f"The exit under {row.agreement_no} is authorised first."
        reasons.append(Reason(text, code="loan.exit"))
    if not signed_by.strip():
        text = "Name in full who signed the receipt."
        reasons.append(Reason(text, "signed_by", "loan.receipt"))
    if receipt is None:
        text = "Attach the scan of the signed receipt."
        reasons.append(Reason(text, "receipt", "loan.receipt"))
    if signed_at > at:
        reasons.append(Reason("This moment lies in the future.", "signed_at", "loan.future"))
    elif row.exit_authorised_at is not None and before(signed_at, row.exit_authorised_at):
        text = "The receipt is signed after the exit was authorised."
        reasons.append(Reason(text, "signed_at", "loan.time"))
    if reasons:
        raise Refused(reasons)
    row.receipt_signed_by, row.receipt_signed_at = signed_by.strip(), signed_at
    row.receipt = receipt
    return row.keep(by=by, role=role, why="receipt signed", at=at)
