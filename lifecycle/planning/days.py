"""One face's light day by day, and the rolling window over it."""

from bisect import bisect_right
from collections import defaultdict
from datetime import date, timedelta
from itertools import accumulate

from lifecycle.planning.ledger import FaceInputs, ledger_of, lump_minute
from lifecycle.planning.lit_hours import curve_of
from lifecycle.planning.moments import day_start, local_day, minute_of, window_first_day


class DaySums:
    """Sums of likely dose by local day: received, going on and promised together [units]."""

    def __init__(self, doses: dict[date, int]) -> None:
        self.doses = doses
        self._days = sorted(day for day, dose in doses.items() if dose)
        self._sums = list(accumulate((doses[day] for day in self._days), initial=0))

    def before(self, day: date) -> int:
        """Return the sum of all days before ``day``."""
        return self._sums[bisect_right(self._days, day - timedelta(1))]

    def window(self, day: date, years: int) -> int:
        """Return the sum of the rolling window that ends on ``day``, that day included."""
        return self.before(day + timedelta(1)) - self.before(window_first_day(day, years))

    def days_from(self, day: date) -> list[date]:
        """Return the days with light from ``day`` on."""
        return self._days[bisect_right(self._days, day - timedelta(1)) :]


def day_sums(inputs: FaceInputs) -> DaySums:
    """Return what a face gets on each local day, as far as it is on record or promised."""
    ledger = ledger_of(inputs)
    doses: dict[date, int] = defaultdict(int)
    for exposure in ledger.exposures:
        for day, dose in exposure.day_doses():
            doses[day] += dose
    for entry in ledger.charged:
        doses[local_day(lump_minute(entry), ledger.zone)] += entry.dose.likely
    for plan in inputs.plans:
        table = plan.position.timetable
        if table is None:
            continue
        curve = curve_of(table, ledger.zone)
        start, end = max(minute_of(plan.since), ledger.now), minute_of(plan.until)
        day = local_day(start, ledger.zone)
        while (opens := day_start(day, ledger.zone)) < end:
            closes = day_start(day + timedelta(1), ledger.zone)
            if start <= opens and closes <= end:
                lit = sum(curve.day(day).values())
            else:
                lit = curve.lit_minutes(max(start, opens), min(end, closes))
            doses[day] += lit * plan.level * table.cover_percent
            day += timedelta(1)
    return DaySums(doses)
