"""Logged light: trapezia to the minute, gaps, and what looks wrong of unit and clock.

Checked against a walk in single minutes that shares no code with the sums, and against rows worked
by hand (common practice; no outside source).
"""

from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.planning.exposure import Exposure, Stay
from lifecycle.planning.keeping import as_data, from_data
from lifecycle.planning.levels import Basis, LevelRule, Position, Reading
from lifecycle.planning.lit_hours import Purpose, Timetable, WeeklySpan, curve_of
from lifecycle.planning.logged import Logged, clock_doubt, unit_doubt, usual_interval
from lifecycle.planning.moments import minute_of, moment_of
from lifecycle.planning.quantities import UNITS_PER_LX_H, whole_lx_h

START = minute_of(datetime(2026, 6, 2, tzinfo=UTC))
LAMPS = curve_of(
    Timetable(
        name="lamps",
        spans=tuple(
            WeeklySpan(weekday=day, purpose=Purpose.PUBLIC, starts=600, ends=1020)
            for day in range(7)
        ),
    ),
    ZoneInfo("UTC"),
)


def every(minutes: int, *lux: int, start: int = START) -> Logged:
    """Samples that many minutes apart, in whole lux."""
    return Logged(tuple((start + minutes * n, 20 * one) for n, one in enumerate(lux)), minutes)


def a_week(lux: int, shift: int = 0) -> list[tuple[int, int]]:
    """A week of quarter hours lit from 10:00 to 17:00, on a clock that is wrong by ``shift``."""
    return [
        (START + at + shift, 20 * lux if 600 <= at % 1440 < 1020 else 0)
        for at in range(0, 7 * 1440, 15)
    ]


def test_ten_hours_at_50_lux_are_500_lux_hours_and_a_straight_rise_counts_its_half() -> None:
    assert whole_lx_h(every(60, *[50] * 11).total) == 500
    assert whole_lx_h(every(60, 0, 100).total) == 50
    assert every(60, 0, 100).dose(START, START + 30) == Fraction(25, 2) * UNITS_PER_LX_H


def test_a_pause_of_more_than_twice_the_interval_is_a_gap_and_charges_nothing() -> None:
    series = Logged(((START, 1000), (START + 15, 1000), (START + 46, 1000)), 15)
    assert series.gaps == [(START + 15, START + 46)]
    assert series.known_minutes(START, START + 46) == 15
    assert series.total == series.dose(START, START + 15)
    bridged = Logged(((START, 1000), (START + 15, 1000), (START + 45, 1000)), 15)
    assert bridged.gaps == []
    assert bridged.known_minutes(START, START + 45) == 45


def walked(series: Logged, since: int, until: int) -> Fraction:
    """The same dose in single minutes: the mean of both ends of each, in units."""
    total = Fraction(0)
    for at in range(since, until):
        for (one, low), (two, high) in zip(series.samples, series.samples[1:], strict=False):
            if one <= at < two and two - one <= 2 * series.interval:
                rise = Fraction(high - low, two - one)
                total += low + rise * (at - one) + rise / 2
    return total * 100


@given(
    st.lists(st.tuples(st.integers(1, 40), st.integers(0, 300)), min_size=2, max_size=8),
    st.integers(-5, 90),
    st.integers(0, 120),
)
def test_every_dose_agrees_with_a_walk_minute_by_minute_and_adds_up(
    steps: list[tuple[int, int]], first: int, length: int
) -> None:
    minute, samples = START, []
    for step, tenths in steps:
        minute += step
        samples.append((minute, 2 * tenths))
    series = Logged(tuple(samples), 15)
    since, until = START + first, START + first + length
    middle = (since + until) // 2
    dose = series.dose(since, until)
    assert abs(dose - walked(series, since, until)) <= 1  # rounded once at either end
    assert dose == series.dose(since, middle) + series.dose(middle, until)
    assert dose >= 0


def test_the_interval_is_the_usual_distance_and_one_sample_is_no_series() -> None:
    assert usual_interval([0, 15, 30, 60, 75]) == 15
    with pytest.raises(ValueError, match="Two samples"):
        usual_interval([7])


@pytest.mark.parametrize(
    ("logged", "read", "asked"),
    [
        (48, "50", ""),
        (48, None, ""),
        (0, "50", "covered"),
        (50_000, "50", "lux after all"),
        (538, "50", "lux after all"),
        (1_500, "50", "is the unit right"),
    ],
)
def test_a_series_far_from_what_was_read_by_hand_is_asked_about(
    logged: int, read: str | None, asked: str
) -> None:
    found = unit_doubt(a_week(logged), None if read is None else Decimal(read))
    assert (asked in found) if asked else found == ""


def test_a_file_of_kilolux_or_foot_candles_read_as_lux_is_found_out() -> None:
    thin = [(minute, level // 1000) for minute, level in a_week(500)]  # 0.5 klx read as 0.5 lx
    assert "kilolux" in unit_doubt(thin, Decimal(500))
    candles = [(minute, level * 1000 // 10764) for minute, level in a_week(54)]
    assert "foot-candles" in unit_doubt(candles, Decimal(54))


def test_light_that_falls_outside_the_lit_hours_asks_about_the_clock() -> None:
    assert clock_doubt(a_week(50), LAMPS) == ""
    assert "1 hour behind" in clock_doubt(a_week(50, shift=-60), LAMPS)
    assert "10 hours ahead" in clock_doubt(a_week(50, shift=600), LAMPS)
    daylight = [(minute, 400) for minute, _ in a_week(1)]  # never dark: no shift mends it
    assert clock_doubt(daylight, LAMPS) == ""


def stay(*logs: Logged, readings: tuple[Reading, ...] = ()) -> Exposure:
    """A week at a place lit from 10:00 to 17:00, read by hand at 40 lx, with some logs."""
    position = Position(
        ref="N2",
        label="N2",
        timetable=LAMPS.timetable,
        readings=readings or (Reading(at=moment_of(START, LAMPS.zone), level=800),),
        logged=logs,
    )
    since, until = (moment_of(START + at, LAMPS.zone) for at in (0, 7 * 1440))
    shown = Stay(position=position, since=since, until=until)
    return Exposure(shown, LevelRule(ceiling=1000), until, LAMPS.zone)


def test_logged_light_stands_instead_of_the_readings_where_it_has_data_and_never_beside_them() -> (
    None
):
    end = START + 7 * 1440
    by_hand = stay()
    assert whole_lx_h(by_hand.dose(START, end).likely) == 7 * 7 * 40
    two_days = Logged(tuple(one for one in a_week(60) if one[0] <= START + 2 * 1440), 15)
    both = stay(two_days)
    logged = two_days.dose(START, START + 2 * 1440)
    assert both.dose(START, START + 2 * 1440).likely == logged
    rest = by_hand.dose(START + 2 * 1440, end)
    assert both.dose(START, end).likely == logged + rest.likely
    assert next(part.basis for part in both.parts(START, end)) is Basis.LOGGED
    assert sum(dose for _, dose in both.day_doses()) == both.dose(START, end).likely
    assert both.dose(START, START + 777) + both.dose(START + 777, end) == both.dose(START, end)


def test_a_gap_is_charged_by_the_readings_and_of_two_logs_the_first_counts() -> None:
    noon = START + 720
    broken = Logged(tuple(one for one in a_week(60) if not noon < one[0] < noon + 120), 15)
    assert broken.gaps == [(noon, noon + 120)]
    found = stay(broken).dose(noon, noon + 120)
    assert whole_lx_h(found.likely) == 80  # two hours at the 40 lx read by hand
    assert stay(broken).assumed_dose(START, noon) == 0
    second = Logged(tuple(a_week(90)), 15)
    assert stay(broken, second).dose(START, noon).likely == broken.dose(START, noon)
    assert stay(broken, second).dose(noon, noon + 120).likely == second.dose(noon, noon + 120)


def test_inputs_with_a_log_come_back_from_what_was_stored() -> None:
    position = stay(every(15, 40, 41, 42)).stay.position
    assert from_data(Position, as_data(position)) == position
