"""Figures worked out by hand or by script before this code was written, and published examples.

Sources stand beside each check. 'Our worked rows' are figures of this project's own (the demo
museum: Tue–Sun 8 h lit of which 7 public, Mon 3 h lit).
"""

from datetime import date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from lifecycle.planning.account import account_of
from lifecycle.planning.exposure import Stay
from lifecycle.planning.forecast import forecast
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.levels import LightChange, Position, Reading
from lifecycle.planning.lit_hours import (
    DatedSpan,
    LampState,
    Purpose,
    Timetable,
    WeeklySpan,
    curve_of,
)
from lifecycle.planning.moments import day_start, minute_of
from lifecycle.planning.quantities import UNITS_PER_LX_H, exact_lx_h, level_of
from tests.planning.museum import (
    CLOSES,
    HIGH,
    LONDON,
    NORTH_GALLERY,
    OPENS,
    at,
    every_day,
    face,
    place,
)

UTC_ZONE = ZoneInfo("UTC")
SYDNEY = ZoneInfo("Australia/Sydney")


def test_the_run_of_the_demo_exhibition_has_1291_lit_and_1064_public_hours() -> None:
    run = forecast(NORTH_GALLERY, LONDON, OPENS, CLOSES, 0)
    assert run.lit_minutes == 1_291 * 60  # our worked rows
    assert run.public_minutes == 1_064 * 60


def test_a_plate_at_48_lux_for_the_whole_run_spends_61968_and_leaves_13032() -> None:
    run = forecast(NORTH_GALLERY, LONDON, OPENS, CLOSES, level_of(48))
    assert run.dose == 61_968 * UNITS_PER_LX_H  # our worked rows
    assert HIGH.allowance - run.dose == 13_032 * UNITS_PER_LX_H
    assert run.by_public_hours == 51_072 * UNITS_PER_LX_H
    assert "1,291 lit hours at 48 lx" in run.because
    assert "51,072 lx·h" in run.because


@pytest.mark.parametrize(
    ("turn", "dose_a", "dose_b"),
    [(date(2026, 6, 8), 26_376, 29_700), (date(2026, 6, 15), 28_518, 27_405)],
)
def test_the_diary_turned_on_a_monday_gives_each_opening_its_dose(
    turn: date, dose_a: int, dose_b: int
) -> None:
    # Our worked rows: opening A at 42 lx, B at 45 lx, the turn Monday counts for neither.
    day = timedelta(1)
    first = forecast(NORTH_GALLERY, LONDON, OPENS, turn - day, level_of(42))
    second = forecast(NORTH_GALLERY, LONDON, turn + day, CLOSES, level_of(45))
    assert (first.dose_lx_h, second.dose_lx_h) == (dose_a, dose_b)


@pytest.mark.parametrize(("lux", "days"), [(50, 30), (100, 15)])
def test_15000_lux_hours_at_ten_hours_a_day_last_so_many_days(lux: int, days: int) -> None:
    # '50 lx, one month' and '100 lx, two weeks' for 15,000 lx·h, seen in print.
    ten_hours = every_day(8 * 60, 18 * 60)
    level = level_of(lux)
    spent = forecast(ten_hours, UTC_ZONE, date(2026, 1, 1), date(2026, 1, days), level)
    more = forecast(ten_hours, UTC_ZONE, date(2026, 1, 1), date(2026, 1, days + 1), level)
    assert spent.dose_lx_h == 15_000
    assert more.dose_lx_h > 15_000


@pytest.mark.parametrize(
    ("lux", "minutes_a_day", "weekdays", "days", "lx_h"),
    [
        (50, 600, 7, 1, 500),  # L1, published: 50 lx for 10 h equals 250 lx for 2 h
        (250, 120, 7, 1, 500),
        (300, 480, 6, 84, 172_800),  # L2, a consultant's budget: 8 h, 6 days, 12 weeks
        (400, 480, 6, 63, 172_800),  # L3: the same budget at 400 lx lasts 9 weeks
        (50, 480, 6, 364, 124_800),  # L7: 50 lx, 8 h, 6 days, 52 weeks
        (50, 600, 7, 30, 15_000),  # L4, L5: 'one month' and 'two weeks', seen in print
        (100, 600, 7, 15, 15_000),
        (200, 600, 7, 300, 600_000),  # L9: 3,000 h a year at 200 and 50 lx
        (50, 600, 7, 300, 150_000),
        (143, 600, 7, 1, 1_430),  # L8, the trap row: 1,430 lx·h, not 14,300
        (50, 480, 7, 84, 33_600),  # L10, worked from the rule
        (50, 600, 7, 84, 42_000),  # L11, worked from the rule
        (50, 1_440, 7, 365, 438_000),  # L12: lights that are never off
    ],
)
def test_published_dose_examples(
    lux: int, minutes_a_day: int, weekdays: int, days: int, lx_h: int
) -> None:
    table = Timetable(
        name="example",
        spans=tuple(
            WeeklySpan(weekday=day, purpose=Purpose.PUBLIC, starts=0, ends=minutes_a_day)
            for day in range(weekdays)
        ),
    )
    monday = date(2026, 1, 5)
    until = monday + timedelta(days - 1)
    assert forecast(table, UTC_ZONE, monday, until, level_of(lux)).dose_lx_h == lx_h


def test_three_weeks_at_100_lux_and_one_at_300_give_the_same() -> None:
    # Example of a preservation course, seen in print: same hours a week.
    start = date(2026, 1, 5)
    slow = forecast(NORTH_GALLERY, LONDON, start, start + timedelta(20), level_of(100))
    fast = forecast(NORTH_GALLERY, LONDON, start, start + timedelta(6), level_of(300))
    assert slow.dose == fast.dose


def test_the_equalising_turn_of_two_faces_with_past_doses_comes_after_32_days() -> None:
    # Worked out by hand: D = 84 days, 400 lx·h a day, past doses 10,000 and 2,000.
    eight_hours = every_day(9 * 60, 17 * 60)
    start = date(2026, 1, 1)
    doses = {
        turn: (
            10_000
            + forecast(
                eight_hours, UTC_ZONE, start, start + timedelta(turn - 1), level_of(50)
            ).dose_lx_h,
            2_000
            + forecast(
                eight_hours, UTC_ZONE, start + timedelta(turn), start + timedelta(83), level_of(50)
            ).dose_lx_h,
        )
        for turn in range(1, 84)
    }
    assert min(doses, key=lambda turn: max(doses[turn])) == 32
    assert doses[32] == (22_800, 22_800)


def _sydney_winter() -> Timetable:
    return Timetable(
        name="Sydney",
        spans=(
            *(
                WeeklySpan(weekday=day, purpose=Purpose.PUBLIC, starts=600, ends=1_020)
                for day in range(1, 7)
            ),
            *(
                WeeklySpan(weekday=day, purpose=Purpose.CLEANING, starts=450, ends=540)
                for day in range(6)
            ),
        ),
        exceptions=(
            DatedSpan(on=date(2025, 12, 25), dark=True),
            DatedSpan(on=date(2026, 4, 3), dark=True),
        ),
    )


def test_southern_clocks_and_cleaning_lights_give_32616() -> None:
    # Our planning notes A5, example 1, checked there against a walk in 5-minute steps.
    cleaning = Reading(at=at(2025, 8, 2, zone=SYDNEY), level=level_of(12), state=LampState.CLEANING)
    show = Reading(at=at(2025, 8, 2, zone=SYDNEY), level=level_of(45))
    position = Position(ref="1", label="1", timetable=_sydney_winter(), readings=(show, cleaning))
    until = at(2025, 11, 24, zone=SYDNEY)
    stay = Stay(position=position, since=at(2025, 8, 2, zone=SYDNEY), until=until)
    account = account_of(face(until, stay, limits=None, zone=SYDNEY.key))
    assert account.lifetime.likely == 32_616 * UNITS_PER_LX_H
    assert account.lines[0].lit_minutes == round(831.5 * 60)


@pytest.mark.parametrize(("lux", "day"), [(45, date(2025, 9, 12)), (56, date(2025, 9, 4))])
def test_the_last_day_of_a_budget_of_15000_with_2750_spent(lux: int, day: date) -> None:
    # Our planning notes A5, example 7; the 2,750 spent before are an estimate in the window.
    from_day = at(2025, 8, 2, zone=SYDNEY)
    position = Position(
        ref="7",
        label="7",
        timetable=_sydney_winter(),
        readings=(
            Reading(at=from_day, level=level_of(lux)),
            Reading(at=from_day, level=level_of(12), state=LampState.CLEANING),
        ),
    )
    limits = HIGH.__class__(
        version=1, label="tight", max_lux=60, allowance_lx_h=15_000 - 2_750, window_years=1
    )
    stay = Stay(position=position, since=from_day, ref="7")
    answer = last_day(
        face(from_day, stay, limits=limits, zone=SYDNEY.key), Caps(planned_end=date(2025, 9, 30))
    )
    assert answer is not None
    assert answer.day == day
    assert answer.binding is not None
    assert answer.binding.code == "account"
    assert answer.days_in_hand == (day - date(2025, 9, 30)).days


def test_readings_after_known_events_split_the_run_to_the_minute() -> None:
    # Our planning notes A5, example 3: 36,665.1667 lx·h; each reading follows an event.
    moments = [(42, (2025, 9, 2, 14, 10)), (58, (2025, 10, 20, 11, 20)), (49, (2025, 11, 3, 15))]
    readings = tuple(
        Reading(at=at(*when, zone=SYDNEY), level=level_of(lux)) for lux, when in moments
    )
    events = tuple(LightChange(first=row.at, last=row.at) for row in readings)
    table = every_day(9 * 60 + 30, 17 * 60)
    since, until = at(2025, 9, 2, 9, 30, zone=SYDNEY), at(2025, 12, 15, zone=SYDNEY)
    # No light events before the first reading: it is carried back to the morning.
    position = Position(ref="3", label="3", timetable=table, readings=readings, events=events[1:])
    account = account_of(
        face(until, Stay(position=position, since=since, until=until), limits=None, zone=SYDNEY.key)
    )
    assert exact_lx_h(account.lifetime.likely) == Fraction(36_665) + Fraction(1, 6)
    assert not account.lifetime.spread
    from_58, to_49 = readings[1].at, readings[2].at
    lit = curve_of(table, SYDNEY).lit_minutes(minute_of(from_58), minute_of(to_49))
    assert round(float(exact_lx_h(lit * 100 * level_of(58))), 4) == 6_302.6667


def test_a_late_opening_shifts_half_the_dose_to_17_december() -> None:
    # Our planning notes A5, example 2: total 42,432 lx·h, half reached on 17 Dec 2025 at 11:00.
    before = date(2025, 12, 26)
    table = Timetable(
        name="summer",
        spans=(
            *(
                WeeklySpan(
                    weekday=d, purpose=Purpose.PUBLIC, starts=600, ends=1_020, until_on=before
                )
                for d in range(1, 7)
            ),
            *(
                WeeklySpan(
                    weekday=d, purpose=Purpose.PUBLIC, starts=540, ends=1_140, from_on=before
                )
                for d in range(7)
            ),
        ),
        exceptions=(
            DatedSpan(on=date(2025, 12, 25), dark=True),
            *(
                DatedSpan(on=date(2026, 1, d), adds=True, starts=1_140, ends=1_350)
                for d in (8, 15, 22, 29)
            ),
        ),
    )
    first, last = date(2025, 10, 4), date(2026, 2, 1)
    assert forecast(table, SYDNEY, first, last, level_of(48)).dose_lx_h == 42_432
    curve, since = curve_of(table, SYDNEY), day_start(first, SYDNEY)
    half = minute_of(datetime(2025, 12, 17, 11, tzinfo=SYDNEY))
    assert curve.lit_minutes(since, half) * 48 == 42_432 * 60 // 2


def test_one_reading_alone_is_enough_for_a_place_that_is_read_in_time() -> None:
    stay = Stay(
        position=place(Reading(at=at(2026, 3, 14), level=level_of(48))),
        since=at(2026, 3, 14),
        until=at(2026, 4, 14),
    )
    account = account_of(face(at(2026, 4, 14), stay))
    assert account.missing == ()
    assert account.spent.likely == account.lifetime.likely > 0
