"""Forms tell the minute, journals the second: what lies in one minute is not out of order."""

from datetime import datetime, timedelta


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


def end_of(told: datetime, now: datetime) -> datetime:
    """Return the last moment that ``told``, a minute of a form, can mean: never later than now.

    >>> from datetime import UTC
    >>> end_of(datetime(2026, 6, 2, 9, 30, tzinfo=UTC), datetime(2026, 6, 2, 9, 30, 20, tzinfo=UTC))
    datetime.datetime(2026, 6, 2, 9, 30, 20, tzinfo=datetime.timezone.utc)
    """
    if told.second or told.microsecond:
        return min(told, now)
    return min(told + timedelta(seconds=59), now)
