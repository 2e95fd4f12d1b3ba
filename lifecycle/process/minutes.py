"""Forms tell the minute, journals the second: what lies in one minute is not out of order."""

from datetime import datetime


def before(seen: datetime, since: datetime) -> bool:
    """Return whether ``seen``, told to the minute, lies in a minute before that of ``since``.

    >>> from datetime import UTC
    >>> begun = datetime(2026, 6, 2, 9, 30, 20, tzinfo=UTC)
    >>> before(datetime(2026, 6, 2, 9, 30, tzinfo=UTC), begun)
    False
    >>> before(datetime(2026, 6, 2, 9, 29, tzinfo=UTC), begun)
    True
    """
    return seen < since.replace(second=0, microsecond=0)
