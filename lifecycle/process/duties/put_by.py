"""When a task that somebody has laid aside keeps quiet. Pure."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from lifecycle.process.duties.duty import Band

LONGEST: Final = timedelta(days=60)
"""How far ahead a task may be put by; ours, so that nothing is put by for good."""


@dataclass(frozen=True, slots=True)
class Laid:
    """How pressing a task was when it was laid aside, and until when; None: it was only seen."""

    band: Band
    until: date | None = None


def keeps_quiet(laid: Laid, band: Band, today: date) -> bool:
    """Return whether a laid task stays aside today.

    It speaks again on the day that was named, and before it when it presses more than it did. What
    is stopped or past its last day is never quiet.

    >>> keeps_quiet(Laid(Band.THIS_WEEK), Band.THIS_WEEK, date(2026, 6, 2))
    True
    >>> keeps_quiet(Laid(Band.THIS_WEEK, date(2026, 6, 2)), Band.THIS_WEEK, date(2026, 6, 2))
    False
    >>> keeps_quiet(Laid(Band.THIS_WEEK, date(2026, 6, 9)), Band.TODAY, date(2026, 6, 2))
    False
    """
    if band is Band.HARD_OVERDUE or band < laid.band:
        return False
    return laid.until is None or today < laid.until
