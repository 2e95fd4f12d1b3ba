"""The agreement with a lender or borrower: dates, objects, courier rules, extensions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    Document,
    Loan,
    LoanExtension,
    LoanObject,
    MuseumObject,
    Organisation,
    Person,
    Showing,
)
from lifecycle.records.models.loans import LoanDirection, LoanState


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the agreement says. Sums insured are not kept here; the reference is."""

    agreement_no: str
    lender: Organisation
    direction: LoanDirection
    starts_on: date
    ends_on: date
    objects: Sequence[MuseumObject]
    contact: str = ""
    courier_at_install: bool = False
    courier_at_turn: bool = False
    courier_at_deinstall: bool = False
    insurance_reference: str = ""
    notice_within_hours: int | None = None
    report_every_days: int | None = None
    agreement: Document | None = None
    agreement_signed_on: date | None = None
    clauses_complete_on: date | None = None
    state: LoanState = LoanState.ASKED


SIGNED_STATES = frozenset({LoanState.AGREED, LoanState.OBJECTS_HERE, LoanState.RETURNING})


def _faults(terms: Terms, loan: Loan | None) -> Iterator[Reason]:
    number = terms.agreement_no.strip()
    if not number:
        yield Reason("Give the agreement its number.", "agreement_no", "loan.number")
    elif any(
        pk != (loan.pk if loan else 0)
        for pk in Loan.objects.filter(agreement_no=number).values_list("pk", flat=True)
    ):
        text = f"There is a loan {number} already."
        yield Reason(text, "agreement_no", "loan.number")
    if terms.ends_on < terms.starts_on:
        yield Reason("The loan ends before it starts.", "ends_on", "loan.dates")
    if not terms.objects:
        yield Reason("Name at least one object.", "objects", "loan.objects")
    for thing in terms.objects:
        lent = thing.lender_id == terms.lender.pk
        if terms.direction is LoanDirection.IN and not lent:
            text = f"{thing.object_number} does not belong to {terms.lender.name} on record."
            yield Reason(text, "objects", "loan.objects")
        if terms.direction is LoanDirection.OUT and thing.lender_id is not None:
            text = f"{thing.object_number} is lent to us; it is not ours to lend."
            yield Reason(text, "objects", "loan.objects")
    if terms.state in SIGNED_STATES and terms.agreement_signed_on is None:
        text = "Enter the day on which the agreement was signed, or leave it at asked."
        yield Reason(text, "agreement_signed_on", "loan.signed")
    if terms.agreement_signed_on is not None and terms.agreement is None:
        text = "Attach the signed agreement."
        yield Reason(text, "agreement", "loan.agreement")


_PLAIN = (
    "lender",
    "starts_on",
    "ends_on",
    "contact",
    "courier_at_install",
    "courier_at_turn",
    "courier_at_deinstall",
    "insurance_reference",
    "notice_within_hours",
    "report_every_days",
    "agreement",
    "agreement_signed_on",
    "clauses_complete_on",
)


def _write(loan: Loan, terms: Terms, *, by: Person, role: Role, at: datetime, why: str) -> Loan:
    loan.agreement_no = terms.agreement_no.strip()
    loan.direction, loan.state = terms.direction.value, terms.state.value
    for name in _PLAIN:
        setattr(loan, name, getattr(terms, name))
    loan.keep(by=by, role=role, why=why, at=at)
    known = set(loan.lines.values_list("museum_object", flat=True))
    for thing in terms.objects:
        if thing.pk not in known:
            LoanObject(loan=loan, museum_object=thing).keep(by=by, role=role, why=why, at=at)
    if terms.direction is LoanDirection.IN:
        _bind_showings(loan, terms, by=by, role=role, at=at)
    return loan


def _bind_showings(loan: Loan, terms: Terms, *, by: Person, role: Role, at: datetime) -> None:
    """Put showings that were asked for before the agreement under it, so that its end binds them.

    Only those under way, without a loan as yet, whose days lie within those of the agreement.
    """
    rows = Showing.objects.select_for_update(of=("self",)).filter(
        museum_object__in=[thing.pk for thing in terms.objects],
        loan=None,
        show_from__gte=terms.starts_on,
        show_from__lte=terms.ends_on,
    )
    for row in rows.exclude(stage__in=[stage.value for stage in CLOSED]).order_by("pk"):
        row.loan = loan
        row.keep(by=by, role=role, why=f"under {loan.agreement_no}", at=at, fields=["loan"])


@transaction.atomic
def add_loan(*, by: Person, role: Role, at: datetime, terms: Terms) -> Loan:
    """Write down a loan.

    :raises Refused: number taken, dates the wrong way round, objects of somebody else
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    if reasons := list(_faults(terms, None)):
        raise Refused(reasons)
    return _write(Loan(), terms, by=by, role=role, at=at, why="loan written down")


@transaction.atomic
def change_loan(
    *, by: Person, role: Role, at: datetime, loan: Loan, terms: Terms, why: str
) -> Loan:
    """Change what the record says of a loan; a later end goes through an extension.

    :raises Refused: a closed loan, a changed end, no reason
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    kept = Loan.objects.select_for_update().get(pk=loan.pk)
    reasons = list(_faults(terms, kept))
    if kept.state == LoanState.CLOSED:
        reasons.append(Reason(f"{kept.agreement_no} is closed.", code="loan.closed"))
    if terms.ends_on != kept.ends_on:
        text = "The end changes by an extension that both sides agreed to."
        reasons.append(Reason(text, "ends_on", "loan.extension"))
    if not why.strip():
        reasons.append(Reason("Say why it is changed.", "why", "loan.why"))
    if reasons:
        raise Refused(reasons)
    return _write(kept, terms, by=by, role=role, at=at, why=why.strip())


@transaction.atomic
def extend_loan(
    *,
    by: Person,
    role: Role,
    at: datetime,
    loan: Loan,
    new_end: date,
    agreed_on: date,
    reason: str,
    document: Document | None = None,
) -> LoanExtension:
    """Move the end of a loan later, as both sides agreed.

    :raises Refused: a day that is not later, agreed in the future, no reason
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    kept = Loan.objects.select_for_update().get(pk=loan.pk)
    reasons = []
    if new_end <= kept.ends_on:
        text = f"{kept.agreement_no} ends on {day_words(kept.ends_on)}; an extension ends later."
        reasons.append(Reason(text, "new_end", "loan.extension"))
    if agreed_on > museum_day(at):
        text = "An extension is entered once it is agreed, not before."
        reasons.append(Reason(text, "agreed_on", "loan.extension"))
    if not reason.strip():
        reasons.append(Reason("Say why it is extended.", "reason", "loan.why"))
    if reasons:
        raise Refused(reasons)
    row = LoanExtension(
        loan=kept,
        old_end=kept.ends_on,
        new_end=new_end,
        agreed_on=agreed_on,
        reason=reason.strip(),
        by=by,
        at=at,
        document=document,
    ).append()
    kept.ends_on = new_end
    kept.keep(by=by, role=role, why=reason.strip(), at=at, fields=["ends_on"])
    return row
