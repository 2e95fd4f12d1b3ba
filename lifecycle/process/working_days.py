"""Working days, Monday to Friday: deadlines that the trade counts in them.

Public holidays are not known here and count as working days. Days on which an exhibition is closed
to visitors count too: they are when objects are turned, read and repaired.
"""

from datetime import date, timedelta


def working_days_after(day: date, number: int) -> date:
    """Return the day that lies ``number`` working days after ``day``.

    >>> working_days_after(date(2026, 3, 13), 2)  # from a Friday
    datetime.date(2026, 3, 17)
    """
    for _ in range(number):
        day += timedelta(days=1)
        while day.weekday() > 4:
            day += timedelta(days=1)
    return day


def working_days_before(day: date, number: int) -> date:
    """Return the day that lies ``number`` working days before ``day``.

    >>> working_days_before(date(2026, 3, 16), 1)  # from a Monday
    datetime.date(2026, 3, 13)
    """
    for _ in range(number):
        day -= timedelta(days=1)
        while day.weekday() > 4:
            day -= timedelta(days=1)
    return day
