"""Does a promised showing fit the account? What it would charge against what it finds left.

The rolling window is followed through every day on which the face gets light from the showing's
first day on. ``left`` is what the allowance holds for this showing on its tightest day, so that
the showing fits exactly when ``planned`` is not more than ``left``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lifecycle.planning.day_words import day_words
from lifecycle.planning.days import day_sums
from lifecycle.planning.ledger import FaceInputs, Plan, ledger_of, plan_dose
from lifecycle.planning.moments import local_day, minute_of, window_first_day
from lifecycle.planning.quantities import whole_lx_h


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A showing against the account of one face. Doses are in units."""

    planned: int
    left: int
    tightest: date
    because: str

    @property
    def fits(self) -> bool:
        return self.planned <= self.left


def fit(inputs: FaceInputs, own: Sequence[Plan], ref: str) -> Fit | None:
    """Return how the showing ``ref`` fits: its stays in the inputs and its plans in ``own``.

    :returns: None without a house rule, or when the showing charges this face nothing
    """
    limits = inputs.limits
    if limits is None:
        return None
    whole = inputs.with_plans(*own)
    ledger = ledger_of(whole)
    stays = [row for row in ledger.exposures if row.stay.ref == ref]
    planned = sum(row.dose(row.start, row.plan_end).likely for row in stays)
    planned += sum(
        plan_dose(plan, ledger.zone, max(minute_of(plan.since), ledger.now), minute_of(plan.until))
        for plan in own
    )
    starts = [row.start for row in stays] + [minute_of(plan.since) for plan in own]
    if not starts:
        return None
    first = local_day(min(starts), ledger.zone)
    sums = day_sums(whole)
    fullest, day = max(
        ((sums.window(day, limits.window_years), day) for day in sums.days_from(first)),
        default=(0, first),
    )
    left = limits.allowance - (fullest - planned)
    because = (
        f"It would charge {whole_lx_h(planned):,} lx·h and finds {whole_lx_h(left):,} of "
        f"{limits.allowance_lx_h:,} lx·h left on its tightest day, {day_words(day)} (window from "
        f"{day_words(window_first_day(day, limits.window_years))}; {limits.name})."
    )
    return Fit(planned=planned, left=left, tightest=day, because=because)
