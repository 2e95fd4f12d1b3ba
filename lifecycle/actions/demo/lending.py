"""The demo's loan: agreement, clauses, and the lender's courier at install and de-install."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.loans.agreements import Terms, add_loan
from lifecycle.actions.loans.clauses import Clause, add_clause
from lifecycle.actions.loans.leave import ask_leave, record_leave
from lifecycle.actions.pictures import store_document
from lifecycle.exchange.demo_pictures import drawn
from lifecycle.records.models import Exhibition, Loan, MuseumObject, Showing
from lifecycle.records.models.loans import (
    ClauseEvidence,
    LoanDirection,
    LoanState,
    Operator,
    Parameter,
    RequirementSource,
)


def lend(cast: Cast, exhibitions: Mapping[str, Exhibition]) -> dict[str, Loan]:
    """Write each loan of the fixtures and return them by object number."""
    made = {}
    for row in cast.data.exhibitions["loans"]:
        at = cast.moment(row["from"] - timedelta(weeks=30), 10)
        scan = store_document(
            data=drawn("card"),
            name=f"{row['number']} signed agreement.jpg",
            title=f"Signed agreement {row['number']}",
            **cast.acting("josephine", at),
        )
        loan = add_loan(
            terms=Terms(
                agreement_no=row["number"],
                lender=cast.organisations[row["lender"]],
                direction=LoanDirection.IN,
                starts_on=row["from"],
                ends_on=row["to"],
                objects=list(MuseumObject.objects.filter(object_number__in=row["objects"])),
                courier_at_install=True,
                courier_at_deinstall=True,
                notice_within_hours=24,
                report_every_days=28,
                agreement=scan,
                agreement_signed_on=at.date(),
                clauses_complete_on=at.date(),
                state=LoanState.OBJECTS_HERE,
            ),
            **cast.acting("josephine", at),
        )
        _clauses(cast, loan, at)
        for number in row["objects"]:
            made[number] = loan
    return made


def _clauses(cast: Cast, loan: Loan, at: datetime) -> None:
    lux = Clause(
        source=RequirementSource.LENDER_CLAUSE,
        loan=loan,
        clause_ref="4.1",
        text="Light on the pastel does not exceed 50 lx.",
        parameter=Parameter.LUX,
        operator=Operator.AT_MOST,
        high=Decimal(50),
        hard=True,
        evidence=ClauseEvidence.READINGS,
        check_every_days=28,
    )
    humidity = Clause(
        source=RequirementSource.LENDER_CLAUSE,
        loan=loan,
        clause_ref="4.3",
        text="Relative humidity in the case stays between 45 and 55 %.",
        parameter=Parameter.HUMIDITY,
        operator=Operator.BETWEEN,
        low=Decimal(45),
        high=Decimal(55),
        hard=True,
        evidence=ClauseEvidence.READINGS,
        check_every_days=28,
    )
    untreated = Clause(
        source=RequirementSource.LENDER_CLAUSE,
        loan=loan,
        clause_ref="6",
        text="No treatment and no reframing without the lender's written leave.",
        parameter=Parameter.NO_TREATMENT_WITHOUT_CONSENT,
        operator=Operator.YES,
        hard=True,
        evidence=ClauseEvidence.DOCUMENT,
    )
    for clause in (lux, humidity, untreated):
        add_clause(clause=clause, **cast.acting("josephine", at))


def leave(cast: Cast, showing: Showing, at: datetime) -> None:
    """Ask the lender for leave to show it, and record the answer."""
    asked = ask_leave(showing=showing, asked_at=at, **cast.acting("josephine", at))
    answered = at + timedelta(days=2)
    record_leave(
        leave=asked,
        given=True,
        answered_at=answered,
        answered_by="The Keeper of Loans",
        **cast.acting("josephine", answered),
    )
