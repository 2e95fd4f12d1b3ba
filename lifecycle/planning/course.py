"""The course of an account through time: the rolling window's sum by date, for a plot."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from lifecycle.planning.days import day_sums
from lifecycle.planning.ledger import FaceInputs, ledger_of
from lifecycle.planning.levels import ASSUMED
from lifecycle.planning.moments import add_months, local_day, window_first_day
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


def gaps_of(inputs: FaceInputs) -> tuple[tuple[date, date], ...]:
    """Return the spans whose light was charged without a reading, first and last day, in order.

    Only what was received; spans that touch are one.
    """
    ledger = ledger_of(inputs)
    spans = sorted(
        (piece.start, min(piece.end, row.end))
        for row in ledger.exposures
        for piece in row.slices
        if piece.basis in ASSUMED and piece.start < row.end
    )
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(end, joined[-1][1])
        else:
            joined.append((start, end))
    zone = ledger.zone
    return tuple((local_day(start, zone), local_day(end - 1, zone)) for start, end in joined)
