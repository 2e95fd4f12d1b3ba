"""Lit hours: exceptions, overlaps, covers, and clocks that change."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from lifecycle.planning.lit_hours import (
    DatedSpan,
    LitCurve,
    Purpose,
    Timetable,
    WeeklySpan,
)
from lifecycle.planning.moments import add_months, day_start, window_first_day
from lifecycle.process.words import LitPurpose
from tests.planning.museum import LONDON, every_day

DAY = date(2026, 6, 2)


def hours(table: Timetable, day: date, zone: ZoneInfo = LONDON) -> float:
    curve = LitCurve(table, zone)
    return curve.lit_minutes(day_start(day, zone), day_start(day + timedelta(1), zone)) / 60


def with_exceptions(*exceptions: DatedSpan) -> Timetable:
    base = every_day(600, 1_020)
    return Timetable(name="x", spans=base.spans, exceptions=exceptions)


def test_a_dark_day_takes_away_the_week() -> None:
    assert hours(with_exceptions(DatedSpan(on=DAY, dark=True, reason="power cut")), DAY) == 0


def test_dark_with_work_light_keeps_the_work_light() -> None:
    work = DatedSpan(on=DAY, adds=True, purpose=Purpose.WORK, starts=480, ends=600)
    assert hours(with_exceptions(DatedSpan(on=DAY, dark=True), work), DAY) == 2


def test_a_dated_span_stands_for_the_weeks_hours_of_its_purpose() -> None:
    short = DatedSpan(on=DAY, purpose=Purpose.PUBLIC, starts=600, ends=840)
    assert hours(with_exceptions(short), DAY) == 4


def test_an_added_span_is_added_but_never_counted_twice() -> None:
    late = DatedSpan(on=DAY, adds=True, purpose=Purpose.EVENTS, starts=960, ends=1_350)
    assert hours(with_exceptions(late), DAY) == 12.5


def test_a_span_past_midnight_goes_on_into_the_next_year() -> None:
    ball = DatedSpan(on=date(2026, 12, 31), adds=True, starts=1_200, ends=1_560)
    table = with_exceptions(ball)
    assert hours(table, date(2026, 12, 31)) == 11
    assert hours(table, date(2027, 1, 1)) == 9


def test_light_that_is_never_off_has_23_and_25_hours_when_clocks_change() -> None:
    # Common knowledge: Europe changes its clocks on the last Sundays of March and October.
    table = every_day(0, 1_440, Purpose.RESIDUAL)
    assert hours(table, date(2026, 3, 29)) == 23
    assert hours(table, date(2026, 10, 25)) == 25
    assert hours(table, date(2018, 11, 4), ZoneInfo("America/Sao_Paulo")) == 23
    assert hours(table, date(2011, 12, 30), ZoneInfo("Pacific/Apia")) == 0


def test_a_span_that_ends_in_the_doubled_hour_ends_at_its_second_pass() -> None:
    assert hours(every_day(0, 90), date(2026, 10, 25)) == 2.5


def test_a_span_that_ends_in_the_missing_hour_moves_with_the_clock() -> None:
    # 00:00 to 01:30, and 01:30 does not exist on that day: the lamps go off at 02:30 by the clock.
    assert hours(every_day(0, 90), date(2026, 3, 29)) == 1.5


def test_a_weekly_span_holds_from_its_first_day_to_before_its_last() -> None:
    span = WeeklySpan(
        weekday=DAY.weekday(),
        purpose=Purpose.PUBLIC,
        starts=600,
        ends=660,
        from_on=DAY,
        until_on=DAY + timedelta(7),
    )
    table = Timetable(name="x", spans=(span,))
    assert [hours(table, DAY + timedelta(7 * n)) for n in (-1, 0, 1)] == [0, 1, 0]


@pytest.mark.parametrize(("starts", "ends"), [(600, 600), (700, 600), (-10, 600), (600, 3_000)])
def test_a_span_that_does_not_end_after_it_starts_is_refused(starts: int, ends: int) -> None:
    with pytest.raises(ValueError, match="ends later"):
        WeeklySpan(weekday=0, purpose=Purpose.PUBLIC, starts=starts, ends=ends)


def test_a_cover_factor_above_100_percent_is_refused() -> None:
    with pytest.raises(ValueError, match="0 to 100"):
        Timetable(name="x", cover_percent=101)


def test_the_window_drops_the_day_exactly_n_years_back() -> None:
    assert window_first_day(date(2031, 3, 7), 5) == date(2026, 3, 8)
    assert window_first_day(date(2024, 2, 29), 1) == date(2023, 3, 1)
    assert add_months(date(2026, 8, 31), 6) == date(2027, 2, 28)


def test_the_purposes_are_those_of_the_records() -> None:
    assert {row.value for row in Purpose} == {row.value for row in LitPurpose}
