"""Account, rest, next allowed day and last day: figures worked by hand beside each check."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.planning.account import account_of, resting_of
from lifecycle.planning.again import Asked, Booking, next_allowed
from lifecycle.planning.days import day_sums
from lifecycle.planning.exposure import Stay
from lifecycle.planning.keeping import as_data, from_data
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.ledger import Entry, EntryKind, FaceInputs, Plan
from lifecycle.planning.levels import Position
from lifecycle.planning.moments import day_start, minute_of, window_first_day
from lifecycle.planning.quantities import Band, level_of, units_of
from tests.planning.museum import CLOSES, HIGH, LONDON, OPENS, at, face, place, reading

# Read monthly at 48 lx, so that nothing is charged as a gap: 1,291 h × 48 lx = 61,968 lx·h.
MONTHLY = tuple(reading(48, 2026, month, 14) for month in range(3, 10))
SHOWN = Stay(
    position=place(*MONTHLY),
    since=at(2026, 3, 14),
    until=at(2026, 9, 7),
    label="Rain by Noon",
    ref="RQ-1",
)
AFTER = at(2026, 9, 20)


def estimate(lx_h: int, year: int) -> Entry:
    return Entry(
        kind=EntryKind.ESTIMATE,
        since=at(year, 5, 1),
        until=at(year, 6, 1),
        dose=Band(units_of(lx_h // 2), units_of(lx_h), units_of(lx_h * 2)),
        label=f"showing of {year}",
        basis="lux guessed from the lamps of the time",
        source="file note",
    )


def asked(first: date, days: int = 84, lux: int = 50, **values: object) -> Asked:
    return Asked(position=place(), first=first, days=days, level=level_of(lux), **values)  # type: ignore[arg-type]


def test_a_whole_run_stands_in_the_account_with_what_is_left() -> None:
    account = account_of(face(AFTER, SHOWN))
    assert account.spent.lx_h == (61_968, 61_968, 61_968)
    assert account.left is not None
    assert account.left.likely_lx_h == 13_032
    assert account.window_from == date(2021, 9, 21)
    assert "75,000 lx·h in any 5 years" in account.because
    assert account.rules_version == 3


def test_an_entry_says_how_many_readings_it_rests_on_how_far_apart_and_which_are_marked() -> None:
    account = account_of(face(AFTER, SHOWN))
    # Read on the 14th of each month from March to August; the longest gap is one of 31 days.
    assert account.lines[0].basis == "6 readings at case N2, a, 48 lx, longest gap 31 days"
    marked = replace(MONTHLY[1], level=level_of(41), marked="meter past calibration")
    other = replace(SHOWN, position=place(MONTHLY[0], marked))
    (line,) = account_of(face(AFTER, other)).lines
    assert line.basis == (
        "2 readings at case N2, a, 41 to 48 lx, longest gap 146 days; some meter past calibration"
    )
    (bare,) = account_of(face(AFTER, replace(SHOWN, position=place()))).lines
    assert bare.basis == "no reading at case N2, a while it was up"
    assert account.biggest == account.lines


def test_a_lamp_state_that_was_never_read_is_named_and_its_share_told() -> None:
    # 227 of the 1,291 lit hours are cleaning light, read only as show light: 17.6 %.
    account = account_of(face(AFTER, SHOWN))
    assert account.assumed_percent == 18
    assert any("cleaning light was never read" in text for text in account.assumptions)


def test_a_planned_run_is_booked_and_not_spent() -> None:
    plan = Plan(position=place(), since=at(2026, 3, 14), until=at(2026, 9, 7), level=level_of(48))
    account = account_of(face(at(2026, 3, 1), plans=(plan,)))
    assert (account.spent.likely, account.booked.likely_lx_h) == (0, 61_968)
    assert account.left is not None
    assert account.left.likely_lx_h == 13_032


def test_a_display_that_goes_on_is_spent_up_to_now_and_booked_to_its_end() -> None:
    stay = replace(SHOWN, until=None, planned_until=at(2026, 9, 7))
    account = account_of(face(at(2026, 6, 8), stay))
    # 14 March to 7 June: 628 lit hours at 48 lx; the rest of the 1,291 is still to come.
    assert account.spent.likely_lx_h == 628 * 48
    assert account.booked.likely_lx_h == (1_291 - 628) * 48


def test_a_face_without_class_or_timetable_never_gets_a_figure_for_what_is_left() -> None:
    nameless = account_of(face(AFTER, SHOWN, limits=None))
    assert nameless.left is None
    assert [row.code for row in nameless.missing] == ["light.class"]
    dark = replace(SHOWN, position=place(*MONTHLY, timetable=None))
    unlit = account_of(face(AFTER, dark))
    assert unlit.left is None
    assert [row.code for row in unlit.missing] == ["light.timetable"]
    assert "case N2, a has no lit timetable" in unlit.because


def test_light_leaves_the_window_after_the_day_exactly_five_years_back() -> None:
    one_day = replace(SHOWN, since=at(2026, 3, 14), until=at(2026, 3, 15))
    full = 8 * 48
    for day, spent in ((date(2031, 3, 13), full), (date(2031, 3, 14), 0)):
        account = account_of(face(at(day.year, day.month, day.day, 12), one_day))
        assert account.spent.likely_lx_h == spent
        assert account.lifetime.likely_lx_h == full


def test_an_estimate_counts_with_its_band_until_its_last_day_leaves_the_window() -> None:
    account = account_of(face(at(2026, 1, 1), entries=(estimate(10_000, 2024),)))
    assert account.spent.lx_h == (5_000, 10_000, 20_000)
    assert account.left is not None
    assert account.left.lx_h == (55_000, 65_000, 70_000)
    assert account.assumed_percent == 100
    later = account_of(face(at(2029, 6, 1), entries=(estimate(10_000, 2024),)))
    assert (later.spent, later.lines[0].in_window) == (Band(), Band())
    assert account.lines[0].in_window == account.spent


@pytest.mark.parametrize(("lx_h", "charged"), [(750, False), (751, True)])
def test_lab_light_is_charged_only_above_one_percent(lx_h: int, charged: bool) -> None:
    # Decided rule 3: 1 % of 75,000 lx·h is 750.
    lab = replace(estimate(0, 2025), kind=EntryKind.IMAGING, dose=Band.sure(units_of(lx_h)))
    account = account_of(face(at(2026, 1, 1), entries=(lab,)))
    assert account.lines[0].charged is charged
    assert account.spent.likely_lx_h == (lx_h if charged else 0)


def test_the_rest_runs_36_months_from_the_last_day_in_the_light() -> None:
    resting = resting_of(face(AFTER, SHOWN))
    assert resting.last_lit_on == CLOSES
    assert resting.rest_ends_on == date(2029, 9, 6)
    assert resting.free_from == date(2029, 9, 7)


def test_rest_binds_while_the_allowance_would_do() -> None:
    answer = next_allowed(face(AFTER, SHOWN), asked(date(2027, 1, 1), days=28, lux=30))
    assert answer.first == date(2029, 9, 7)
    assert answer.binding is not None
    assert answer.binding.code == "rest"
    assert "36 months' rest" in answer.because


def test_the_window_binds_after_the_rest_and_the_day_before_would_overflow() -> None:
    inputs, wanted = face(AFTER, SHOWN), asked(date(2027, 1, 1))
    answer = next_allowed(inputs, wanted)
    assert answer.first is not None
    assert answer.binding is not None
    assert answer.binding.code == "allowance"
    assert answer.tightest is not None
    assert answer.tightest.sum_lx_h is not None
    assert answer.tightest.sum_lx_h <= 75_000
    assert worst_window(inputs, wanted, answer.first) <= HIGH.allowance
    day_before = answer.first - timedelta(1)
    assert worst_window(inputs, wanted, day_before) > HIGH.allowance


def worst_window(inputs: FaceInputs, wanted: Asked, first: date) -> int:
    """The fullest rolling window with the asked span in place, added up day by day."""
    table = wanted.position.timetable
    assert table is not None
    spent = dict(day_sums(inputs).doses)
    for n in range(wanted.days):
        day = first + timedelta(n)
        lit = sum(ends - starts for _, starts, ends in table.spans_on(day))
        spent[day] = spent.get(day, 0) + lit * wanted.level * 100
    return max(
        sum(
            dose
            for other, dose in spent.items()
            if window_first_day(day, HIGH.window_years) <= other <= day
        )
        for day in spent
        if day >= first
    )


def test_a_span_that_fits_is_allowed_as_asked() -> None:
    answer = next_allowed(face(AFTER), asked(date(2027, 1, 1)))
    assert answer.as_asked
    assert answer.binding is None
    assert answer.because.startswith("Yes, allowed from Fri 1 Jan 2027 as asked.")


def test_too_long_a_span_is_told_the_weeks_cap() -> None:
    answer = next_allowed(
        face(AFTER, limits=replace(HIGH, max_weeks=12)), asked(date(2027, 1, 1), days=85)
    )
    assert answer.first is None
    assert answer.binding is not None
    assert answer.binding.code == "weeks"
    assert answer.offers == ("At most 12 weeks (84 days).",)


def test_a_span_that_alone_exceeds_the_allowance_is_offered_shorter_and_dimmer() -> None:
    limits = replace(HIGH, allowance_lx_h=10_000)
    answer = next_allowed(face(AFTER, limits=limits), asked(date(2027, 1, 1), days=84))
    assert answer.first is None
    assert answer.binding is not None
    assert answer.binding.code == "too_much"
    shorter, dimmer = answer.offers
    # 200 lit hours at 50 lx are 10,000 lx·h: 27 days from Friday 1 January 2027 hold 196 h, 28
    # hold 204; all 84 days hold 612 h, which 16.3 lx fills.
    assert shorter.startswith("Shorter: 27 days")
    assert dimmer.startswith("Dimmer: 16.3 lx")


def test_an_accepted_later_showing_is_tested_again() -> None:
    limits = replace(HIGH, rest_months=0, allowance_lx_h=30_000)
    later = Plan(
        position=place(),
        since=at(2027, 6, 1),
        until=at(2027, 7, 1),
        level=level_of(50),
        label="next year's show",
    )
    answer = next_allowed(
        face(AFTER, limits=limits, plans=(later,)), asked(date(2027, 1, 1), days=84)
    )
    # Alone 30,600 lx·h; the promised June holds some 11,000, so both fit only after five years.
    assert answer.first is None or answer.first > date(2032, 1, 1)


def test_a_booking_elsewhere_moves_the_start_to_the_day_after_it() -> None:
    lent = Booking(first=date(2027, 1, 10), last=date(2027, 3, 1), label="a loan to Saltmarsh")
    answer = next_allowed(face(AFTER), asked(date(2027, 1, 1), days=14, bookings=(lent,)))
    assert answer.first == date(2027, 3, 2)
    assert answer.binding is not None
    assert answer.binding.code == "booking"


def test_without_a_class_no_date_is_given() -> None:
    answer = next_allowed(face(AFTER, limits=None), asked(date(2027, 1, 1)))
    assert answer.first is None
    assert answer.binding is not None
    assert answer.binding.code == "missing"


def test_the_last_day_names_the_limit_that_binds() -> None:
    stay = replace(SHOWN, until=None, planned_until=at(2026, 9, 7))
    inputs = face(at(2026, 6, 8), stay)
    plain = last_day(inputs, Caps(planned_end=CLOSES))
    assert plain is not None
    assert plain.day is not None
    # 75,000 lx·h at 48 lx are 1,562.5 lit hours: 271.5 more than the run, 51 a week.
    assert plain.day == date(2026, 10, 13)
    assert plain.days_in_hand == 37
    lent = last_day(inputs, Caps(planned_end=CLOSES, loan_ends=date(2026, 9, 1), max_weeks=26))
    assert lent is not None
    assert lent.binding is not None
    assert (lent.binding.code, lent.day, lent.days_in_hand) == ("loan", date(2026, 9, 1), -5)
    capped = last_day(inputs, Caps(planned_end=CLOSES, dose=units_of(30_528)))
    assert capped is not None
    # 636 hours at 48 lx: 628 by Sunday 7 June, 3 on Monday, 5 left on a Tuesday of 8.
    assert capped.day == date(2026, 6, 8)


def test_nothing_on_display_has_no_last_day() -> None:
    assert last_day(face(AFTER, SHOWN), Caps(planned_end=CLOSES)) is None


def test_inputs_kept_as_data_give_the_same_answer_years_later() -> None:
    inputs = face(AFTER, SHOWN, entries=(estimate(10_000, 2024),))
    stored = json.loads(json.dumps(as_data(inputs)))
    again = from_data(FaceInputs, stored)
    assert account_of(again).because == account_of(inputs).because
    wanted = asked(date(2027, 1, 1))
    kept = from_data(Asked, json.loads(json.dumps(as_data(wanted))))
    assert next_allowed(again, kept).because == next_allowed(inputs, wanted).because


@given(
    st.lists(st.tuples(st.integers(0, 200), st.integers(1, 60)), max_size=4), st.integers(0, 400)
)
def test_a_lifetime_dose_never_falls_as_time_goes_on(
    stays: list[tuple[int, int]], step: int
) -> None:
    rows = tuple(
        replace(
            SHOWN,
            since=at(2026, 3, 14) + timedelta(start),
            until=at(2026, 3, 14) + timedelta(start + days),
        )
        for start, days in stays
    )
    now = at(2026, 5, 1)
    early, late = face(now, *rows), face(now + timedelta(step), *rows)
    assert account_of(early).lifetime.likely <= account_of(late).lifetime.likely


def test_the_parts_of_a_line_cover_the_stay_without_holes() -> None:
    account = account_of(face(AFTER, SHOWN))
    (line,) = account.lines
    assert line.parts[0].start == minute_of(at(2026, 3, 14)) == day_start(OPENS, LONDON)
    assert all(a.end == b.start for a, b in zip(line.parts, line.parts[1:], strict=False))
    assert line.lit_minutes == 1_291 * 60
    assert isinstance(SHOWN.position, Position)
