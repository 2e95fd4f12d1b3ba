"""The course of an account through time: the rolling window's sum by date, for a plot."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from lifecycle.planning.days import day_sums
from lifecycle.planning.ledger import FaceInputs
from lifecycle.planning.moments import add_months, window_first_day
from lifecycle.planning.quantities import whole_lx_h

MOST_POINTS: Final = 240


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """The window's sum [lx·h] at the end of a day; ``promised`` says it lies ahead."""

    day: date
    lx_h: int
    promised: bool


def course_of(inputs: FaceInputs) -> tuple[CoursePoint, ...]:
    """Return the window's sum from the first light in it to a year ahead, or past what is booked.

    Empty without a house rule. Days are left out evenly where there are very many.
    """
    limits = inputs.limits
    if limits is None:
        return ()
    today, sums = inputs.today, day_sums(inputs)
    window = window_first_day(today, limits.window_years)
    lit = sums.days_from(window)
    first = lit[0] if lit else today
    last = max([add_months(today, 12), *(lit[-1:] if lit else [])])
    step = max(1, -(-(last - first).days // MOST_POINTS))
    days = [first + timedelta(n) for n in range(0, (last - first).days + 1, step)]
    days = sorted({*days, today, last})
    return tuple(
        CoursePoint(day, whole_lx_h(sums.window(day, limits.window_years)), day > today)
        for day in days
    )
