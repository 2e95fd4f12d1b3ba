"""One thing on record that may explain a change."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """One thing on record. ``kind`` groups them; ``what`` says it in words."""

    at: datetime
    kind: str
    what: str
