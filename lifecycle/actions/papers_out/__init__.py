"""Printing is a deed: it makes a row. So are 'it came back', 'it is lost' and 'it is void'."""

from lifecycle.actions.papers_out.printing import print_paper
from lifecycle.actions.papers_out.returning import Return, mark_back, write_off

__all__ = ["Return", "mark_back", "print_paper", "write_off"]
