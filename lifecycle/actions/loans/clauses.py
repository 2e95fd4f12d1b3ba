"""Clauses and other conditions as rows: what is bounded, how it is proved, what became of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.loans.telling import tell_of_broken_clause
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Document, Loan, Person, Place, Requirement, Showing
from lifecycle.records.models.loans import (
    ClauseEvidence,
    Operator,
    Parameter,
    RequirementSource,
    RequirementState,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One condition as agreed. Bounds are in the unit of the parameter."""

    source: RequirementSource
    text: str
    parameter: Parameter
    operator: Operator
    evidence: ClauseEvidence
    clause_ref: str = ""
    low: Decimal | None = None
    high: Decimal | None = None
    hard: bool = True
    check_every_days: int | None = None
    loan: Loan | None = None
    showing: Showing | None = None
    case: Place | None = None


def _faults(clause: Clause) -> Iterator[Reason]:
    if not clause.text.strip():
        yield Reason("Write the clause as it was agreed.", "text", "clause.text")
    if clause.loan is None and clause.showing is None and clause.case is None:
        text = "Say to what it applies: a loan, a showing or a case."
        yield Reason(text, "loan", "clause.about")
    if clause.source is RequirementSource.LENDER_CLAUSE and clause.loan is None:
        text = "A lender's clause belongs to a loan."
        yield Reason(text, "loan", "clause.about")
    unit = clause.parameter.unit
    said = f" in {unit}" if unit else ""
    if clause.operator is Operator.AT_MOST and clause.high is None:
        yield Reason(f"Enter the upper bound{said}.", "high", "clause.bound")
    if clause.operator is Operator.AT_LEAST and clause.low is None:
        yield Reason(f"Enter the lower bound{said}.", "low", "clause.bound")
    if clause.operator is Operator.BETWEEN:
        if clause.low is None or clause.high is None:
            yield Reason(f"Enter both bounds{said}.", "low", "clause.bound")
        elif clause.high < clause.low:
            text = "The upper bound lies below the lower one."
            yield Reason(text, "high", "clause.bound")
    bounded = clause.operator in (Operator.AT_MOST, Operator.AT_LEAST, Operator.BETWEEN)
    if bounded and not unit:
        text = f"“{clause.parameter.label}” has no figure: it is kept or not, or stands as text."
        yield Reason(text, "operator", "clause.operator")


def _allow(clause: Clause, by: Person, role: Role, at: datetime) -> None:
    """A conservator's own condition is the conservator's; clauses are the registrar's."""
    if clause.source is RequirementSource.CONSERVATOR and clause.showing is not None:
        about = about_showing(clause.showing)
        allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about)
    else:
        allow(by=by, role=role, deed=Deed.REGISTER, at=at)


def _write(
    row: Requirement, clause: Clause, *, by: Person, role: Role, at: datetime, why: str
) -> Requirement:
    row.loan, row.showing, row.case = clause.loan, clause.showing, clause.case
    row.source, row.parameter = clause.source.value, clause.parameter.value
    row.operator, row.evidence = clause.operator.value, clause.evidence.value
    row.clause_ref, row.text = clause.clause_ref.strip(), clause.text.strip()
    row.low, row.high, row.unit = clause.low, clause.high, clause.parameter.unit
    row.hard, row.check_every_days = clause.hard, clause.check_every_days
    return row.keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def add_clause(*, by: Person, role: Role, at: datetime, clause: Clause) -> Requirement:
    """Write down one condition.

    :raises Refused: no words, nothing it applies to, a bound missing or of the wrong kind
    """
    _allow(clause, by, role, at)
    if reasons := list(_faults(clause)):
        raise Refused(reasons)
    return _write(Requirement(), clause, by=by, role=role, at=at, why="clause written down")


@transaction.atomic
def change_clause(
    *,
    by: Person,
    role: Role,
    at: datetime,
    requirement: Requirement,
    state: RequirementState,
    why: str,
) -> Requirement:
    """Say what became of a condition: kept, at risk, broken, ended.

    A hard clause of a lender that breaks is told to the registrars at once.

    :raises Refused: without words, or when it is waived in writing and that was not the way
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = Requirement.objects.select_for_update(of=("self",)).get(pk=requirement.pk)
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say what the state rests on.", "why", "clause.why"))
    if state is RequirementState.WAIVED_IN_WRITING:
        text = "A waiver comes in writing from the lender: enter it with its paper."
        reasons.append(Reason(text, "state", "clause.waiver"))
    if reasons:
        raise Refused(reasons)
    breaks = state is RequirementState.BROKEN and row.state != RequirementState.BROKEN
    row.state = state.value
    row.keep(by=by, role=role, why=why.strip(), at=at, fields=["state"])
    if breaks:
        tell_of_broken_clause(row, why=why.strip(), at=at)
    return row


@transaction.atomic
def waive_clause(
    *,
    by: Person,
    role: Role,
    at: datetime,
    requirement: Requirement,
    document: Document | None,
    note: str,
) -> Requirement:
    """Record that the lender waived a clause in writing.

    :raises Refused: without the paper or its words
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = Requirement.objects.select_for_update(of=("self",)).get(pk=requirement.pk)
    if document is None and not note.strip():
        text = "Attach the lender's writing, or give its words and date."
        raise Refused(Reason(text, "note", "clause.waiver"))
    row.waiver, row.waiver_note = document, note.strip()
    row.state = RequirementState.WAIVED_IN_WRITING.value
    return row.keep(by=by, role=role, why="waived in writing", at=at)
