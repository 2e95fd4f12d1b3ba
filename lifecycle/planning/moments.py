"""Minutes of real time, local days and calendar months; zone rules from ``zoneinfo``.

A moment is an integer: minutes since 1970-01-01T00:00Z. Wall-clock times become moments by rules
that never count too little: a span that starts in a doubled hour starts at its first pass, one
that ends there ends at its second; one that starts in a missing hour starts at the jump, one that
ends there moves forward with the clock (02:30 reads 03:30).
"""

import calendar
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

MINUTES_PER_DAY: Final = 1440
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE: Final = timedelta(minutes=1)


def minute_of(moment: datetime) -> int:
    """Return a moment as whole minutes since the epoch; seconds are dropped.

    :raises ValueError: if the moment carries no zone
    """
    if moment.tzinfo is None:
        raise ValueError(f"A moment needs its zone: {moment:%Y-%m-%d %H:%M}.")
    return (moment - _EPOCH) // _MINUTE


def moment_of(minute: int, zone: ZoneInfo) -> datetime:
    """Return minutes since the epoch as a moment on the zone's clock."""
    return (_EPOCH + minute * _MINUTE).astimezone(zone)


def local_day(minute: int, zone: ZoneInfo) -> date:
    """Return the local date on which a minute falls."""
    return moment_of(minute, zone).date()


def _jump_between(before: int, after: int, zone: ZoneInfo) -> int:
    """Return the first minute in (before, after] at which the zone's later offset holds."""
    later = moment_of(after, zone).utcoffset()
    while after - before > 1:
        middle = (before + after) // 2
        if moment_of(middle, zone).utcoffset() == later:
            after = middle
        else:
            before = middle
    return after


def wall_start(day: date, minute: int, zone: ZoneInfo) -> int:
    """Return the moment a span starts that begins ``minute`` minutes after ``day``'s midnight."""
    wall = datetime.combine(day, time()) + minute * _MINUTE
    first, second = wall.replace(tzinfo=zone, fold=0), wall.replace(tzinfo=zone, fold=1)
    early, late = minute_of(first.astimezone(UTC)), minute_of(second.astimezone(UTC))
    if early <= late:
        return early
    # A missing time reads its two offsets the other way round: the jump lies between the two.
    return _jump_between(late - 1, early, zone)


def wall_end(day: date, minute: int, zone: ZoneInfo) -> int:
    """Return the moment a span ends that ends ``minute`` minutes after ``day``'s midnight."""
    wall = datetime.combine(day, time()) + minute * _MINUTE
    first, second = wall.replace(tzinfo=zone, fold=0), wall.replace(tzinfo=zone, fold=1)
    return max(minute_of(first.astimezone(UTC)), minute_of(second.astimezone(UTC)))


@lru_cache(maxsize=65536)
def day_start(day: date, zone: ZoneInfo) -> int:
    """Return the first minute of a local day, which need not be its midnight.

    A date the zone skipped altogether starts where the next one does.
    """
    return wall_start(day, 0, zone)


def add_months(day: date, months: int) -> date:
    """Return the same day of the month ``months`` later (or earlier), clamped to the month's end.

    >>> add_months(date(2024, 2, 29), -60)
    datetime.date(2019, 2, 28)
    """
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def window_first_day(day: date, years: int) -> date:
    """Return the first day of the rolling window that ends on ``day``.

    The day exactly ``years`` years back counts no more.

    >>> window_first_day(date(2026, 9, 6), 5)
    datetime.date(2021, 9, 7)
    """
    return add_months(day, -12 * years) + timedelta(days=1)
