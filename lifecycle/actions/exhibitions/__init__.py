"""Exhibitions: their facts, their state, and moving their dates with all that hangs on them."""

from lifecycle.actions.exhibitions.dates import Dates, MovedDates, move_dates
from lifecycle.actions.exhibitions.facts import (
    ExhibitionDetails,
    add_exhibition,
    change_exhibition,
    set_state,
)

__all__ = [
    "Dates",
    "ExhibitionDetails",
    "MovedDates",
    "add_exhibition",
    "change_exhibition",
    "move_dates",
    "set_state",
]
