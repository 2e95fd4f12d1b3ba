"""Pages of loans: the list, one loan, its clauses, the lender's leave, exit and receipt."""
