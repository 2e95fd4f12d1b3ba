"""What would change a last day or a fit: figures worked by hand beside each check."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.planning.exposure import Stay
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.ledger import Plan
from lifecycle.planning.levels import Reading
from lifecycle.planning.lit_hours import LampState
from lifecycle.planning.quantities import UNITS_PER_LX_H, level_of
from lifecycle.planning.span import dose_in
from lifecycle.planning.what_if import (
    USUAL,
    Change,
    altered,
    highest_level,
    highest_words,
    if_promised,
    if_up,
    lengthened,
    week_ahead,
)
from tests.planning.museum import CLOSES, HIGH, NORTH_GALLERY, at, face, place, reading

MONTHLY = tuple(reading(48, 2026, month, 14) for month in range(3, 7))
UP = Stay(
    position=place(*MONTHLY),
    since=at(2026, 3, 14),
    planned_until=at(2026, 9, 7),
    label="Rain by Noon",
    ref="RQ-1",
)
JUNE = at(2026, 6, 8)
CAPS = Caps(planned_end=CLOSES)
PLANNED = Plan(
    position=place(), since=at(2026, 3, 14), until=at(2026, 9, 7), level=level_of(48), ref="RQ-2"
)


def test_left_as_it_is_nothing_changes() -> None:
    inputs = face(JUNE, UP)
    outcome, plain = if_up(inputs, CAPS, USUAL[0]), last_day(inputs, CAPS)
    assert outcome is not None
    assert plain is not None
    assert outcome.last is not None
    assert (outcome.last.day, outcome.last.days_in_hand) == (plain.day, plain.days_in_hand)
    assert plain.day == date(2026, 10, 13)
    assert outcome.charged == (1_291 - 628) * 48 * UNITS_PER_LX_H


def test_a_week_longer_than_planned_takes_51_lit_hours_more() -> None:
    (week,) = [change for change in USUAL if change.more_days]
    up = if_up(face(JUNE, UP), CAPS, week)
    assert up is not None
    assert up.last is not None
    assert up.charged == (1_291 - 628 + 51) * 48 * UNITS_PER_LX_H
    assert up.last.days_in_hand == 37 - 7
    promised = if_promised(face(at(2026, 1, 1)), [PLANNED], "RQ-2", week)
    assert promised is not None
    assert promised.charged == (1_291 + 51) * 48 * UNITS_PER_LX_H


def test_ten_percent_more_light_takes_days_from_the_hand() -> None:
    # Left on 8 June: 75,000 − 628 h × 48 = 44,856 lx·h; at 52.8 lx that is 849.5 lit hours. From
    # Monday 8 June 16 weeks of 51 h are 816 h, to Sunday 27 September; 33.5 h more are Monday's 3
    # and three days of 8: Thursday 1 October is the last day.
    outcome = if_up(face(JUNE, UP), CAPS, Change(label="", percent=110))
    assert outcome is not None
    assert outcome.last is not None
    assert outcome.last.day == date(2026, 10, 1)
    assert outcome.charged == (1_291 - 628) * 528 * UNITS_PER_LX_H // 10


def test_an_hour_longer_counts_on_open_days_alone() -> None:
    longer = lengthened(NORTH_GALLERY, 60)
    for day in (date(2026, 6, 8), date(2026, 6, 9)):
        before = sum(end - start for _, start, end in NORTH_GALLERY.spans_on(day))
        after = sum(end - start for _, start, end in longer.spans_on(day))
        assert after - before == (0 if day.weekday() == 0 else 60)


def test_what_was_received_stays_as_it_was() -> None:
    inputs = face(JUNE, UP)
    brighter = altered(inputs, Change(label="", percent=300, longer=120))
    whole = (at(2026, 1, 1), JUNE)
    assert dose_in(brighter, *whole).received == dose_in(inputs, *whole).received


def test_a_cleaning_light_read_apart_is_scaled_apart() -> None:
    cleaning = Reading(at=at(2026, 3, 14), level=level_of(12), state=LampState.CLEANING)
    stay = replace(UP, position=place(*MONTHLY, cleaning))
    outcome = if_up(face(JUNE, stay), CAPS, Change(label="", percent=200))
    plain = if_up(face(JUNE, stay), CAPS, USUAL[0])
    assert outcome is not None
    assert plain is not None
    # Beyond twice the reading interval the cleaning light would be charged; in June it is not yet
    # (28 days, read in March: it is), so both states double whatever they rest on.
    assert outcome.charged == 2 * plain.charged


def test_the_highest_light_that_lasts_is_found_to_the_tenth_of_a_lux() -> None:
    tight = replace(HIGH, allowance_lx_h=50_000)
    inputs = face(JUNE, UP, limits=tight)
    level = highest_level(inputs, (), "RQ-1", CAPS)
    # 50,000 − 30,144 = 19,856 lx·h over 663 h: 29.94 lx.
    assert level == level_of(29) + 18  # 29.9 lx
    assert highest_words(level, CLOSES) == "At up to 29.9 lx its light lasts to Sun 6 Sep 2026."
    fits = if_up(inputs, CAPS, Change(label="", level=level))
    passes = if_up(inputs, CAPS, Change(label="", level=level + 2))
    assert fits is not None
    assert passes is not None
    assert (fits.ok, passes.ok) == (True, False)


def test_a_promised_showing_is_shortened_moved_and_dimmed() -> None:
    tight = face(at(2026, 1, 1), limits=replace(HIGH, allowance_lx_h=50_000))
    plain = if_promised(tight, [PLANNED], "RQ-2", USUAL[0])
    assert plain is not None
    assert plain.charged == 61_968 * UNITS_PER_LX_H
    assert not plain.ok
    shorter = if_promised(tight, [PLANNED], "RQ-2", Change(label="", until=date(2026, 6, 7)))
    assert shorter is not None
    assert shorter.charged == 628 * 48 * UNITS_PER_LX_H
    assert shorter.ok
    moved = if_promised(tight, [PLANNED], "RQ-2", Change(label="", later=7))
    assert moved is not None
    assert moved.charged == plain.charged  # seven days later the weekdays are the same
    level = highest_level(tight, [PLANNED], "RQ-2", None)
    assert level == level_of(38) + 14  # 50,000 / 1,291 h = 38.73 lx


def test_when_no_light_lasts_it_is_said() -> None:
    inputs = face(JUNE, UP, limits=replace(HIGH, allowance_lx_h=30_000))
    assert highest_level(inputs, (), "RQ-1", CAPS) == 0
    assert highest_words(0, CLOSES).endswith("turn, shorten or take down.")
    weeks = Caps(planned_end=CLOSES, max_weeks=20)
    dark = if_up(face(JUNE, UP), weeks, Change(label="", level=0))
    assert "it is not the light: at most 20 weeks" in highest_words(0, CLOSES, dark)


def test_one_more_week_costs_its_51_lit_hours() -> None:
    assert week_ahead(face(JUNE, UP)) == 51 * 48 * UNITS_PER_LX_H
    assert week_ahead(face(JUNE, replace(UP, planned_until=at(2026, 6, 9)))) == 51 * 48 * (
        UNITS_PER_LX_H
    )
    assert week_ahead(face(JUNE)) is None


def test_nothing_up_has_no_outcome_and_impossible_changes_are_refused() -> None:
    assert if_up(face(JUNE), CAPS, USUAL[0]) is None
    for wrong in ({"percent": -1}, {"level": -2}):
        with pytest.raises(ValueError, match="negative"):
            Change(label="", **wrong)  # type: ignore[arg-type]


# Dose in any span


def test_a_span_within_a_display_is_counted_to_the_minute() -> None:
    # Tuesday 17 March 2026: cleaning 9 to 10, public 10 to 17; half past nine to half past twelve.
    span = dose_in(face(JUNE, UP), at(2026, 3, 17, 9, 30), at(2026, 3, 17, 12, 30))
    assert span.dose.likely == 3 * 48 * UNITS_PER_LX_H
    assert (span.lit_minutes, span.public_minutes) == (180, 150)
    assert "3 lit hours on display (2.5 of them public)" in span.because


def test_a_span_across_now_says_what_is_still_to_come() -> None:
    span = dose_in(face(JUNE, UP), at(2026, 3, 14), at(2026, 9, 7))
    assert span.received.likely_lx_h == 628 * 48
    assert span.promised.likely_lx_h == (1_291 - 628) * 48
    assert span.readings == 3
    assert "are still to come" in span.because
    with pytest.raises(ValueError, match="before it starts"):
        dose_in(face(JUNE, UP), at(2026, 3, 15), at(2026, 3, 14))


def test_a_promise_that_should_have_begun_counts_from_now_on_alone() -> None:
    # Nobody installed it on 14 March: from Monday 8 June on, 663 of the 1,291 lit hours are left.
    span = dose_in(face(JUNE, plans=(PLANNED,)), at(2026, 3, 1), at(2026, 12, 1))
    assert span.received.likely == 0
    assert span.promised.likely == (1_291 - 628) * 48 * UNITS_PER_LX_H
    assert span.lit_minutes == (1_291 - 628) * 60


@given(st.lists(st.integers(-3_000, 9_000), min_size=3, max_size=3).map(sorted))
def test_doses_of_adjoining_spans_add_up_across_now_too(hours: list[int]) -> None:
    inputs = face(JUNE, UP, plans=(replace(PLANNED, since=at(2026, 9, 7), until=at(2026, 10, 1)),))
    a, b, c = (at(2026, 3, 14) + timedelta(hours=n) for n in hours)
    left, right, whole = dose_in(inputs, a, b), dose_in(inputs, b, c), dose_in(inputs, a, c)
    assert left.dose + right.dose == whole.dose
    assert left.lit_minutes + right.lit_minutes == whole.lit_minutes
    assert 0 <= left.dose.low <= left.dose.likely <= left.dose.high
