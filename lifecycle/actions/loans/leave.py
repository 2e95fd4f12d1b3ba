"""The lender's leave to show an object: asked, and what came back."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models import Document, LenderLeave, Person, Showing
from lifecycle.records.models.loans import LeaveAnswer


@transaction.atomic
def ask_leave(
    *, by: Person, role: Role, at: datetime, showing: Showing, asked_at: datetime, note: str = ""
) -> LenderLeave:
    """Record that the lender was asked whether the object may be shown.

    :raises Refused: an object of our own, a question that is still open, a moment ahead
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    kept = (
        Showing.objects.select_for_update(of=("self",))
        .select_related("museum_object__lender")
        .get(pk=showing.pk)
    )
    lender = kept.museum_object.lender
    reasons = []
    if lender is None:
        text = f"{kept.museum_object.object_number} is the museum's own; nobody has to be asked."
        raise Refused(text)
    if asked_at > at:
        reasons.append(Reason("This moment lies in the future.", "asked_at", "leave.future"))
    if kept.lender_leaves.filter(answer=LeaveAnswer.WAITING.value).exists():
        text = f"{lender.name} was asked already and has not answered."
        reasons.append(Reason(text, code="leave.waiting"))
    if reasons:
        raise Refused(reasons)
    return LenderLeave(
        showing=kept, asked_of=lender, asked_at=asked_at, asked_by=by, note=note.strip()
    ).keep(by=by, role=role, why="lender asked", at=at)


@transaction.atomic
def record_leave(
    *,
    by: Person,
    role: Role,
    at: datetime,
    leave: LenderLeave,
    given: bool,
    answered_at: datetime,
    answered_by: str,
    document: Document | None = None,
    note: str = "",
) -> LenderLeave:
    """Record the lender's answer, with who gave it.

    :raises Refused: answered already, nobody named, a moment before the question or ahead
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = LenderLeave.objects.select_for_update(of=("self",)).get(pk=leave.pk)
    reasons = []
    if row.answer != LeaveAnswer.WAITING:
        raise Refused("The lender's answer is on record already; ask again for another.")
    if not answered_by.strip():
        text = "Name who answered for the lender."
        reasons.append(Reason(text, "answered_by", "leave.who"))
    if before(answered_at, row.asked_at) or answered_at > at:
        text = "The answer came after the question and not in the future."
        reasons.append(Reason(text, "answered_at", "leave.time"))
    if reasons:
        raise Refused(reasons)
    row.answer = (LeaveAnswer.GIVEN if given else LeaveAnswer.REFUSED).value
    row.answered_at, row.answered_by = max(answered_at, row.asked_at), answered_by.strip()
    row.document, row.note = document, note.strip() or row.note
    return row.keep(by=by, role=role, why="lender answered", at=at)
