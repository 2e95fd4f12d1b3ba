"""Incidents: anybody starts one; the object is held until a written decision."""

from lifecycle.actions.incidents.closing import close_incident
from lifecycle.actions.incidents.completing import (
    Completion,
    add_statement,
    complete_incident,
    tell,
)
from lifecycle.actions.incidents.starting import Happening, start_incident

__all__ = [
    "Completion",
    "Happening",
    "add_statement",
    "close_incident",
    "complete_incident",
    "start_incident",
    "tell",
]
