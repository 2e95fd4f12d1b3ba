"""What one line of a list of requests says, before anything is looked up."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSaid:
    """A face by its label, with days of its own where the line names them."""

    label: str
    first: date | None = None
    last: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSaid:
    """One line as typed (by column) and as read; ``faults`` are sentences that say what to mend."""

    number: int
    typed: Mapping[str, str]
    object_number: str
    faces: tuple[FaceSaid, ...] = ()
    first: date | None = None
    last: date | None = None
    reason: str = ""
    priority: str = ""
    alternatives: tuple[str, ...] = ()
    no_alternative_because: str = ""
    faults: tuple[str, ...] = ()
