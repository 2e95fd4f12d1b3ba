"""Duties: the task list, worked out from the facts every time and never stored."""

from lifecycle.process.duties.duty import Duty, band_of, in_order
from lifecycle.process.duties.every import duties

__all__ = ["Duty", "band_of", "duties", "in_order"]
