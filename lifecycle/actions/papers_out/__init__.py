"""Printing is a deed: it makes a row. So are 'it came back', 'it is lost' and 'it is void'."""

from lifecycle.actions.papers_out.printing import Job, print_pack, print_paper
from lifecycle.actions.papers_out.returning import Return, mark_back, write_off

__all__ = ["Job", "Return", "mark_back", "print_pack", "print_paper", "write_off"]
