"""Days worked back from when a face goes on show, held to days counted by hand on a calendar.

Outside check: 14 March 2026 is a Saturday. Twenty-five working days before it are the five weeks
that begin on the Mondays 9 and 2 March, 23, 16 and 9 February: the master is due on 9 February.
The offsets themselves are common practice (three weeks before install and before a turn).
"""

from datetime import date

import pytest

from lifecycle.process.size_words import size_words
from lifecycle.process.worked_back import (
    Lead,
    facsimile_due,
    hidden_in,
    master_due,
    mount_due,
    periods_of,
    pictures_due,
)
from lifecycle.process.working_days import workday_on_or_before

A, B, C = 1, 2, 3
OPENS, TURN = date(2026, 3, 14), date(2026, 6, 8)
FACES = [(A, "opening A"), (B, "opening B")]
PLAN = periods_of(FACES, opens=OPENS, turns={B: TURN}, wanted={B: date(2026, 6, 1)})
LEAD = Lead()


def test_whenever_a_face_goes_on_show_every_other_is_hidden() -> None:
    three = periods_of([*FACES, (C, "C")], opens=OPENS, turns={B: TURN}, wanted={})
    assert [(one.shown, one.label, one.from_on) for one in hidden_in(three)] == [
        ("opening A", "opening B", OPENS),
        ("opening A", "C", OPENS),
        ("opening B", "opening A", TURN),
        ("opening B", "C", TURN),
        ("C", "opening A", None),
        ("C", "opening B", None),
    ]


@pytest.mark.parametrize(
    ("found", "day"),
    [
        # Saturday 28 February, so the Friday before; and Monday 18 May.
        (facsimile_due(B, PLAN, LEAD), date(2026, 2, 27)),
        (facsimile_due(A, PLAN, LEAD), date(2026, 5, 18)),
        # Saturday 21 February; Monday 18 May; the earlier of both.
        (mount_due([A], PLAN, LEAD), date(2026, 2, 20)),
        (mount_due([B], PLAN, LEAD), date(2026, 5, 18)),
        (mount_due([A, B], PLAN, LEAD), date(2026, 2, 20)),
        (master_due(B, PLAN, LEAD), date(2026, 2, 9)),
        # 8 June is a Monday: five weeks before it.
        (master_due(A, PLAN, LEAD), date(2026, 5, 4)),
        # Saturday 7 February.
        (pictures_due(PLAN, LEAD), date(2026, 2, 6)),
    ],
)
def test_days_are_those_of_a_calendar(found: object, day: date) -> None:
    assert getattr(found, "on") == day  # noqa: B009 - one table for every kind


def test_the_planned_turn_goes_before_the_day_that_was_asked_for() -> None:
    assert PLAN[1].from_on == TURN
    asked = periods_of(FACES, opens=OPENS, turns={}, wanted={B: date(2026, 6, 1)})
    assert asked[1].from_on == date(2026, 6, 1)


def test_without_a_turn_day_nothing_is_made_up() -> None:
    whole = periods_of(FACES, opens=OPENS, turns={}, wanted={B: OPENS})
    assert facsimile_due(A, whole, LEAD).on is None
    assert "no day is set" in facsimile_due(A, whole, LEAD).because
    assert mount_due([B], whole, LEAD).on is None
    assert master_due(A, whole, LEAD).on is None


def test_a_face_alone_is_never_hidden() -> None:
    alone = periods_of(FACES[:1], opens=OPENS, turns={}, wanted={})
    assert facsimile_due(A, alone, LEAD).on is None
    assert not list(hidden_in(alone))


def test_nobody_delivers_on_a_weekend() -> None:
    days = [date(2026, 3, day) for day in range(1, 15)]
    assert {workday_on_or_before(day).weekday() for day in days} == set(range(5))
    assert workday_on_or_before(date(2026, 3, 13)) == date(2026, 3, 13)


@pytest.mark.parametrize("typed", ["-5 × 10", "0 x 10", "210", "a × b", "210 × −297", "1 × 2 × 3"])
def test_a_size_that_cannot_be_true_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match=r"Write height|longer than nothing"):
        size_words(typed)


@pytest.mark.parametrize(
    ("typed", "kept"), [("", ""), ("210x297", "210 × 297"), ("12,5 × 8.0 mm", "12.5 × 8")]
)
def test_a_size_is_kept_in_one_way(typed: str, kept: str) -> None:
    assert size_words(typed) == kept
