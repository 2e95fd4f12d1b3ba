"""Working days, Monday to Friday less the days the house has off: deadlines are counted in them.

The days off are house rules; without them public holidays count as working days. Days on which an
exhibition is closed to visitors are working days: they are when objects are turned and repaired.
"""

from collections.abc import Collection
from datetime import date, timedelta

_ONE = timedelta(days=1)


def is_working_day(day: date, off: Collection[date] = ()) -> bool:
    """Whether anybody works on that day: Monday to Friday, and not one of the days ``off``."""
    return day.weekday() < 5 and day not in off


def working_days_after(day: date, number: int, off: Collection[date] = ()) -> date:
    """Return the day that lies ``number`` working days after ``day``.

    >>> working_days_after(date(2026, 3, 13), 2)  # from a Friday
    datetime.date(2026, 3, 17)
    """
    for _ in range(number):
        day += _ONE
        while not is_working_day(day, off):
            day += _ONE
    return day


def working_days_before(day: date, number: int, off: Collection[date] = ()) -> date:
    """Return the day that lies ``number`` working days before ``day``.

    >>> working_days_before(date(2026, 3, 16), 1)  # from a Monday
    datetime.date(2026, 3, 13)
    """
    for _ in range(number):
        day -= _ONE
        while not is_working_day(day, off):
            day -= _ONE
    return day


def workday_on_or_before(day: date, off: Collection[date] = ()) -> date:
    """Return the day itself, or the working day before it: nobody delivers on a Sunday.

    >>> workday_on_or_before(date(2026, 3, 15))  # a Sunday
    datetime.date(2026, 3, 13)
    """
    return working_days_before(day + _ONE, 1, off)


def days_back(end: date, days: int, *, working: bool, off: Collection[date] = ()) -> date:
    """Return by when something is needed that many days before ``end``; always a working day.

    Calendar days that end on a day off are needed on the working day before it.

    >>> days_back(date(2026, 3, 2), 1, working=False)  # the Sunday before a Monday
    datetime.date(2026, 2, 27)
    """
    if working and days:
        return working_days_before(end, days, off)
    if working:
        return workday_on_or_before(end, off)
    return workday_on_or_before(end - timedelta(days=days), off)
