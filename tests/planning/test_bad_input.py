"""Input that is wrong or odd: refused with words, or kept and marked; never a silent figure."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from lifecycle.papers.drawing.dose import DosePoint, dose_plot
from lifecycle.planning.account import account_of
from lifecycle.planning.again import Asked, next_allowed
from lifecycle.planning.exposure import Stay
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.lit_hours import DatedSpan, Purpose, WeeklySpan
from lifecycle.planning.many import Many
from lifecycle.planning.quantities import level_of
from lifecycle.planning.what_if import highest_level
from tests.planning.museum import CLOSES, HIGH, at, event, face, place, reading

UP = Stay(
    position=place(reading(48, 2026, 3, 14), reading(48, 2026, 5, 1)),
    since=at(2026, 3, 14),
    planned_until=at(2026, 9, 7),
    ref="RQ-1",
)
JUNE = at(2026, 6, 8)


def test_negative_lux_and_finer_than_a_tenth_are_refused_in_words() -> None:
    with pytest.raises(ValueError, match=r"cannot be negative: -0\.1 lx"):
        level_of(Decimal("-0.1"))
    with pytest.raises(ValueError, match="tenths of a lux"):
        level_of(Decimal("48.05"))


@pytest.mark.parametrize(("starts", "ends"), [(600, 599), (600, 600), (-1, 60), (1_440, 1_500)])
def test_a_span_of_lit_hours_that_ends_before_it_starts_is_refused(starts: int, ends: int) -> None:
    with pytest.raises(ValueError, match="starts within its day and ends later"):
        WeeklySpan(weekday=0, purpose=Purpose.PUBLIC, starts=starts, ends=ends)
    with pytest.raises(ValueError, match="starts within its day and ends later"):
        DatedSpan(on=date(2026, 3, 14), starts=starts, ends=ends)


def test_a_reading_before_installation_holds_until_the_first_one_after_it() -> None:
    # Read at 40 lx two days before it was put up, at 44 lx a week after: 42 lx is likely between.
    early = place(reading(40, 2026, 3, 12), reading(44, 2026, 3, 21))
    stay = Stay(position=early, since=at(2026, 3, 14), until=at(2026, 3, 21))
    (line,) = account_of(face(at(2026, 3, 21), stay)).lines
    assert line.dose.lx_h == (51 * 40, 51 * 42, 51 * 44)
    assert line.basis == "no reading at case N2, a while it was up"


def test_a_reading_with_a_meter_past_calibration_counts_and_is_named() -> None:
    lapsed = replace(reading(48, 2026, 3, 14), marked="meter past calibration")
    plain = account_of(face(JUNE, UP))
    marked = replace(UP, position=place(lapsed, reading(48, 2026, 5, 1)))
    account = account_of(face(JUNE, marked))
    assert account.spent == plain.spent
    assert "some meter past calibration" in account.lines[0].basis


def test_two_events_in_one_minute_are_one() -> None:
    one = place(reading(48, 2026, 3, 14), reading(60, 2026, 5, 1), events=(event(2026, 4, 1),))
    two = replace(one, events=(*one.events, event(2026, 4, 1)))
    single, double = (account_of(face(JUNE, replace(UP, position=row))) for row in (one, two))
    assert single.spent == double.spent
    assert not single.lines[0].parts[0].dose.spread


def test_two_readings_in_one_minute_count_by_the_brighter_in_any_order() -> None:
    rows = (reading(48, 2026, 3, 14), reading(60, 2026, 3, 14))
    one, other = (
        account_of(face(at(2026, 4, 1), replace(UP, position=place(*order))))
        for order in (rows, rows[::-1])
    )
    assert one.spent == other.spent
    assert one.lines[0].parts[0].level.likely == level_of(60)


def test_a_house_rule_of_nothing_allows_nothing_and_breaks_nothing() -> None:
    nothing = replace(HIGH, allowance_lx_h=0, max_lux=1, rest_months=0)
    inputs = face(JUNE, UP, limits=nothing)
    account = account_of(inputs)
    assert account.left is not None
    assert account.left.likely < 0
    answer = last_day(inputs, Caps(planned_end=CLOSES))
    assert answer is not None
    assert answer.day == date(2026, 3, 13)
    assert "before the planned end" in answer.because
    assert highest_level(inputs, (), "RQ-1", Caps(planned_end=CLOSES)) == 0
    (found,) = Many([inputs], [CLOSES]).sums()
    assert (found.left, found.last_day) == (account.left, answer.day)
    asked = Asked(position=place(), first=date(2027, 1, 4), days=7, level=level_of(1))
    never = next_allowed(face(JUNE, limits=nothing), asked)
    assert never.first is None
    assert never.binding is not None
    assert never.binding.code == "too_much"
    points = [DosePoint(date(2026, 3, day), 100 * day) for day in (14, 15)]
    assert "<svg" in dose_plot(points, allowance=0, today=date(2026, 3, 15), title="t", summary="s")


def test_a_face_put_up_in_the_future_has_spent_nothing_yet() -> None:
    account = account_of(face(at(2026, 3, 1), UP))
    assert account.spent.likely == 0
    assert account.lifetime.likely == 0
