"""Loans: what is here under which agreement, what its clauses ask, what the lender said."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from lifecycle.queries.rights import museum_day
from lifecycle.records.models import LenderLeave, Loan, LoanObject, Requirement, Showing
from lifecycle.records.models.loans import LoanState, RequirementState

ENDS_SOON: Final = timedelta(days=56)
LIST_LIMIT: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanRow:
    """One loan in the list, with its clauses counted by state."""

    loan: Loan
    objects: tuple[str, ...]
    broken: int
    at_risk: int
    clauses: int
    today: date

    @property
    def state(self) -> str:
        """The mark beside it: stopped by a broken clause, late when past its end."""
        if self.loan.state == LoanState.CLOSED:
            return "done"
        if self.loan.ends_on < self.today:
            return "late"
        if self.broken:
            return "stopped"
        soon = self.loan.ends_on - self.today <= ENDS_SOON
        return "soon" if self.at_risk or soon else "on_course"


def loans_list(
    at: datetime, *, closed: bool = False, most: int | None = LIST_LIMIT
) -> list[LoanRow]:
    """Return the loans, the first to end first, in four queries; at most 200 if not said."""
    rows = Loan.objects.select_related("lender").order_by("ends_on", "pk")
    rows = rows if closed else rows.exclude(state=LoanState.CLOSED.value)
    loans = list(rows[:most])
    objects: dict[int, list[str]] = {loan.pk: [] for loan in loans}
    lines = LoanObject.objects.filter(loan__in=loans).order_by("museum_object__object_number")
    for loan_id, number in lines.values_list("loan", "museum_object__object_number"):
        objects[loan_id].append(number)
    states = Counter(Requirement.objects.filter(loan__in=loans).values_list("loan", "state"))
    today = museum_day(at)
    return [
        LoanRow(
            loan=loan,
            objects=tuple(objects[loan.pk]),
            broken=states[loan.pk, RequirementState.BROKEN.value],
            at_risk=states[loan.pk, RequirementState.AT_RISK.value],
            clauses=sum(count for (pk, _), count in states.items() if pk == loan.pk),
            today=today,
        )
        for loan in loans
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoansOnShowing:
    """The loan under which the object is here, its clauses, and the lender's leave."""

    loan: Loan | None
    clauses: tuple[Requirement, ...]
    leaves: tuple[LenderLeave, ...]

    @property
    def waiting(self) -> LenderLeave | None:
        return next((leave for leave in self.leaves if leave.answered_at is None), None)


def on_showing(showing: Showing, at: datetime) -> LoansOnShowing:
    """Return the loan part of a showing's page, in three queries."""
    loan = (
        Loan.objects.filter(pk=showing.loan_id).select_related("lender").first()
        if showing.loan_id
        else None
    )
    return LoansOnShowing(
        loan=loan,
        clauses=tuple(
            Requirement.objects.filter(loan=loan).order_by("clause_ref", "pk") if loan else ()
        ),
        leaves=tuple(
            LenderLeave.objects.filter(showing=showing)
            .select_related("asked_of", "asked_by")
            .order_by("-asked_at", "-pk")
        ),
    )
