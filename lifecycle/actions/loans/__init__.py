"""Loans: the agreement, its clauses as rows, the lender's leave, the exit and the receipt."""

from lifecycle.actions.loans.agreements import Terms, add_loan, change_loan, extend_loan
from lifecycle.actions.loans.clauses import Clause, add_clause, change_clause, waive_clause
from lifecycle.actions.loans.exits import authorise_exit, sign_receipt
from lifecycle.actions.loans.leave import ask_leave, record_leave

__all__ = [
    "Clause",
    "Terms",
    "add_clause",
    "add_loan",
    "ask_leave",
    "authorise_exit",
    "change_clause",
    "change_loan",
    "extend_loan",
    "record_leave",
    "sign_receipt",
    "waive_clause",
]
