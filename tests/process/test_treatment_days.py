"""When treatment begins, by when consent is needed and an answer is due.

Outside check: worked by hand on a wall calendar of 2025 and 2026; Good Friday and Easter Monday of
2026 are 3 and 6 April. The exhibition is installed from Monday 2 March 2026, so that treatment is
over by Monday 26 January.
"""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from lifecycle.process.duties import duties
from lifecycle.process.facts.showing import AssessmentFacts, Rules, ShowingFacts
from lifecycle.process.readiness import readiness_of
from lifecycle.process.treatment_days import answer_due, begin_by, treatment_begins
from lifecycle.process.words import FitForDisplay
from tests.process.lawful import lawful, put

OVER = date(2026, 1, 26)
EASTER = frozenset({date(2026, 4, 3), date(2026, 4, 6)})


def unanswered(**proposal: Any) -> ShowingFacts:
    """A museum's own object whose proposal before display waits for the curator."""
    facts = put(lawful("declare_ready"), "proposals.0.report_signed", False)
    facts = put(put(facts, "proposals.0.consents.0.agreed", False), "home.loan", None)
    for name, value in proposal.items():
        facts = put(facts, f"proposals.0.{name}", value)
    return facts


def needed(facts: ShowingFacts) -> set[date]:
    links = [link for cell in readiness_of(facts) for link in cell.links]
    return {link.needed_by for link in links if link.code == "consent.missing"}


@pytest.mark.parametrize(
    ("hours", "begins"),
    [
        (3, OVER),  # within one day
        (5, OVER),
        (5.5, date(2026, 1, 23)),  # Friday and Monday
        (12, date(2026, 1, 22)),  # Thursday, Friday, Monday
        (40, date(2026, 1, 15)),  # eight working days
        (None, date(2026, 1, 12)),  # nobody has said: ten working days before its end
    ],
)
def test_treatment_begins_early_enough_for_its_hours(hours: float | None, begins: date) -> None:
    assert begin_by(OVER, hours, Rules()) == begins


def test_consent_is_needed_ten_working_days_before_treatment_starts_not_before_it_ends() -> None:
    assert needed(unanswered(hours=12)) == {date(2026, 1, 8)}
    assert needed(unanswered()) == {date(2025, 12, 29)}


def test_a_day_on_which_the_proposal_means_to_start_or_finish_counts_when_it_is_earlier() -> None:
    soon = unanswered(hours=12, start_not_before=date(2026, 1, 12))
    assert treatment_begins(soon, OVER) == date(2026, 1, 12)
    assert needed(soon) == {date(2025, 12, 29)}
    later = unanswered(hours=12, start_not_before=date(2026, 2, 20), finish_by=date(2026, 3, 2))
    assert treatment_begins(later, OVER) == date(2026, 1, 22)
    early = unanswered(hours=12, finish_by=date(2026, 1, 16))
    assert treatment_begins(early, OVER) == date(2026, 1, 14)


def test_days_off_lie_between_consent_and_start() -> None:
    closed = Rules(days_off=frozenset({date(2026, 1, 12), date(2026, 1, 1)}))
    assert needed(replace(unanswered(hours=12), rules=closed)) == {date(2026, 1, 7)}


def test_a_treatment_that_is_reported_or_comes_after_display_sets_no_start() -> None:
    done = put(unanswered(hours=40), "proposals.0.report_signed", True)
    assert treatment_begins(done, OVER) == begin_by(OVER, None, Rules())


def test_an_answer_is_due_in_ten_working_days_that_know_the_days_off() -> None:
    assert answer_due(date(2026, 3, 27), ()) == date(2026, 4, 10)
    assert answer_due(date(2026, 3, 27), EASTER) == date(2026, 4, 14)


def test_the_task_to_answer_a_proposal_knows_the_days_off() -> None:
    asked = put(unanswered(hours=12), "proposals.0.consents.0.decided", False)
    asked = put(asked, "proposals.0.consents.0.asked_on", date(2026, 3, 27))
    asked = replace(asked, rules=Rules(days_off=EASTER))
    due = {duty.due_on for duty in duties(asked) if duty.code == "consent.asked"}
    assert date(2026, 4, 14) in due


def test_a_proposal_is_due_ten_working_days_after_the_assessment_asked_for_it() -> None:
    facts = replace(lawful("begin_treatment"), proposals=())
    fit = AssessmentFacts(
        fit=FitForDisplay.AFTER_TREATMENT, signed=True, signed_on=date(2025, 11, 28)
    )
    facts = replace(facts, assessment=fit)
    (duty,) = [one for one in duties(facts) if one.code == "proposal.missing"]
    assert duty.due_on == date(2025, 12, 12)
    (late,) = [
        one
        for one in duties(replace(facts, assessment=replace(fit, signed_on=date(2026, 2, 20))))
        if one.code == "proposal.missing"
    ]
    assert late.due_on == date(2025, 12, 29), "by when everybody should have agreed"
