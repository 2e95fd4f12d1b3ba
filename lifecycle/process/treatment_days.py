"""The days of a treatment: when it has to begin, by when consent is needed, by when to answer.

Readiness, tasks, pages and papers all ask here. Working days know the house's days off.
"""

from collections.abc import Collection
from datetime import date
from math import ceil
from typing import Final

from lifecycle.process.facts.showing import Rules, ShowingFacts
from lifecycle.process.facts.treatment import ANSWER_DAYS
from lifecycle.process.offsets import BENCH, CONSENT
from lifecycle.process.working_days import (
    workday_on_or_before,
    working_days_after,
    working_days_before,
)

HOURS_A_DAY: Final = 5
"""Hours at the bench that a working day yields, beside all else that fills it (ours)."""


def answer_due(asked_on: date, off: Collection[date]) -> date:
    """Return the working day by which whoever was asked on that day answers."""
    return working_days_after(asked_on, ANSWER_DAYS, off)


def begin_by(ends_on: date, hours: float | None, rules: Rules) -> date:
    """Return the last working day on which treatment can begin and be over on ``ends_on``.

    Without an estimate of its hours it takes the days of the house rules.
    """
    if hours is None:
        return BENCH.before_day(ends_on, rules)
    last = workday_on_or_before(ends_on, rules.days_off)
    return working_days_before(last, ceil(hours / HOURS_A_DAY) - 1, rules.days_off)


def treatment_begins(facts: ShowingFacts, ends_on: date) -> date:
    """Return the day by which treatment before display begins, to be over on ``ends_on``.

    That is the last day that leaves room for the estimated hours, or the day on which the
    proposal means to begin, if that is earlier; the earliest of several proposals counts.
    """
    days = []
    for proposal in facts.proposals:
        if proposal.aftercare or proposal.report_signed:
            continue
        over = min(ends_on, proposal.finish_by or ends_on)
        days.append(begin_by(over, proposal.hours, facts.rules))
        if proposal.start_not_before is not None:
            days.append(proposal.start_not_before)
    return min(days, default=begin_by(ends_on, None, facts.rules))


def proposal_due(facts: ShowingFacts, ends_on: date) -> date:
    """Return by when the proposal is sent: within the days of an answer after the assessment.

    Never later than the day on which everybody should have agreed.
    """
    needed = consent_needed(facts, ends_on)
    assessed = facts.assessment.signed_on if facts.assessment is not None else None
    return needed if assessed is None else min(needed, answer_due(assessed, facts.rules.days_off))


def consent_needed(facts: ShowingFacts, ends_on: date) -> date:
    """Return the working day by which everybody has agreed, so that treatment can begin."""
    return CONSENT.before_day(treatment_begins(facts, ends_on), facts.rules)
