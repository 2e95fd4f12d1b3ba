"""A hard clause of a lender that is broken: the registrars hear of it at once."""

from datetime import datetime

from lifecycle.actions.work.alarms import tell_at_once
from lifecycle.planning.counting import counted
from lifecycle.process.stages import Role
from lifecycle.queries.telling import holders
from lifecycle.records.models import Requirement


def tell_of_broken_clause(row: Requirement, *, why: str, at: datetime) -> None:
    """Tell the registrars of a clause that has just been marked broken; soft ones can wait.

    The caller holds the lock on the clause. Each time it breaks anew has a key of its own.
    """
    loan = row.loan
    if loan is None or not row.hard:
        return
    clause = row.clause_ref or row.get_parameter_display()
    hours = loan.notice_within_hours
    notice = f" The lender wants notice within {counted(hours, 'hour')}." if hours else ""
    tell_at_once(
        people=holders([Role.REGISTRAR], at),
        key=f"clause/{row.uid}/broken/{row.history.count()}",
        subject=f"Loan {loan.agreement_no}: clause {clause} is broken",
        body=(
            f"Clause {clause} of loan {loan.agreement_no}, {loan.lender.name}, is marked broken:\n"
            f"{row.text}\n\nIt rests on: {why}\n\nThe lender has to be told.{notice}"
        ),
        why="you are registrar and a hard clause of a loan is broken",
        page="loan",
        uid=loan.uid,
        at=at,
    )
