"""How a day reads in every sentence: of reasons, duties, light accounts and messages."""

from datetime import date


def day_words(day: date, today: date | None = None) -> str:
    """Write a day: 'Mon 14 Dec 2026'; without the year when it is the year of ``today``.

    Names are English whatever the machine's language is. A moment is taken as the day it names.

    >>> day_words(date(2026, 12, 14))
    'Mon 14 Dec 2026'
    >>> day_words(date(2026, 12, 14), date(2026, 11, 25))
    'Mon 14 Dec'
    """
    words = f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"
    return words if today and day.year == today.year else f"{words} {day.year}"


_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
