"""Turn days: worked figures, and every answer against trying all sets of days."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.planning.lit_hours import DatedSpan, LampState, Purpose, Timetable, WeeklySpan
from lifecycle.planning.quantities import UNITS_PER_LX_H, level_of, units_of, whole_lx_h
from lifecycle.planning.turn_days import TurnQuestion, turn_days, why_this_day
from lifecycle.planning.turns import Run, Sharing, TurnDay, Turned, When, closed_days
from tests.planning.museum import CLOSES, LONDON, NORTH_GALLERY, OPENS, every_day

SYDNEY = "Australia/Sydney"
MONDAYS = tuple(TurnDay(day) for day in closed_days(OPENS, CLOSES, NORTH_GALLERY, str(LONDON)))
DIARY = (
    Turned(label="opening A", level=level_of(42)),
    Turned(label="opening B", level=level_of(45)),
)


def diary(**values: Any) -> Sharing:
    values.setdefault("allowed", MONDAYS)
    run = Run(timetable=NORTH_GALLERY, zone=str(LONDON), first=OPENS, last=CLOSES, **values)
    return Sharing(run, DIARY)


def doses(plan: Any) -> tuple[int, ...]:
    return tuple(whole_lx_h(row.dose) for row in plan.stretches)


def test_the_mondays_of_the_run_are_its_closed_days() -> None:
    assert len(MONDAYS) == 25
    assert {row.day.weekday() for row in MONDAYS} == {0}


def test_the_diary_is_most_even_when_turned_on_15_june() -> None:
    # Worked out by hand.
    sharing = diary()
    table = {plan.days[0].day: doses(plan) for plan in sharing.single()}
    assert table[date(2026, 6, 8)] == (26_376, 29_700)
    assert table[date(2026, 6, 15)] == (28_518, 27_405)
    best = sharing.best()
    assert best is not None
    assert best.days == (TurnDay(date(2026, 6, 15)),)
    assert whole_lx_h(best.spread) == 28_518 - 27_405
    (eighth,) = [plan for plan in sharing.single() if plan.days[0].day == date(2026, 6, 8)]
    assert whole_lx_h(eighth.spread) == 3_324


def test_past_doses_of_10000_and_2000_turn_after_32_days_and_end_at_22800() -> None:
    # Worked out by hand: D = 84 days, 400 lx·h a day; k = (84 + (2,000 − 10,000) / 400) / 2.
    start = date(2026, 1, 1)
    run = Run(
        timetable=every_day(9 * 60, 17 * 60),
        zone="UTC",
        first=start,
        last=start + timedelta(83),
        allowed=tuple(TurnDay(start + timedelta(n), When.BEFORE_OPENING) for n in range(1, 84)),
    )
    faces = (
        Turned(label="a", level=level_of(50), before=units_of(10_000)),
        Turned(label="b", level=level_of(50), before=units_of(2_000)),
    )
    best = Sharing(run, faces).best()
    assert best is not None
    assert best.days[0].day == start + timedelta(32)
    assert [whole_lx_h(row.load) for row in best.stretches] == [22_800, 22_800]
    assert [whole_lx_h(row.dose) for row in best.stretches] == [12_800, 20_800]
    level, _ = Sharing(run, faces).level_of_even()
    assert level == units_of(22_800)


def summer() -> Timetable:
    before = date(2025, 12, 26)
    return Timetable(
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


FIRST, LAST = date(2025, 10, 4), date(2026, 2, 1)
TWO = tuple(Turned(label=name, level=level_of(48)) for name in "ab")


def southern(*, closed: bool) -> Sharing:
    every = [FIRST + timedelta(n) for n in range((LAST - FIRST).days + 1)]
    dark = closed_days(FIRST, LAST, summer(), SYDNEY)
    allowed = (
        tuple(TurnDay(day) for day in dark)
        if closed
        else tuple(TurnDay(day, When.BEFORE_OPENING) for day in every)
    )
    run = Run(timetable=summer(), zone=SYDNEY, first=FIRST, last=LAST, allowed=allowed)
    return Sharing(run, TWO)


def test_longer_hours_after_christmas_move_the_turn_far_past_the_calendar_s_middle() -> None:
    # Our planning notes A5, example 2, worked there by script in 5-minute steps.
    best = southern(closed=False).best()
    assert best is not None
    assert (best.days[0].day, doses(best)) == (date(2025, 12, 17), (21_168, 21_264))
    (day,), middle = southern(closed=False).middle()
    assert middle is not None
    assert (day, doses(middle)) == (date(2025, 12, 3), (17_136, 25_296))
    snapped = southern(closed=True).best()
    assert snapped is not None
    assert (snapped.days[0].day, doses(snapped)) == (date(2025, 12, 15), (20_832, 21_600))


def test_a_turn_before_opening_gives_the_day_to_the_new_face_and_a_closed_one_to_neither() -> None:
    monday = date(2026, 6, 15)
    closed, early = (
        Sharing(
            Run(
                timetable=NORTH_GALLERY,
                zone=str(LONDON),
                first=OPENS,
                last=CLOSES,
                allowed=(TurnDay(monday, when),),
            ),
            DIARY,
        ).single()[0]
        for when in (When.CLOSED, When.BEFORE_OPENING)
    )
    assert doses(closed)[0] == doses(early)[0]
    assert doses(early)[1] - doses(closed)[1] == 3 * 45  # the Monday's three lit hours


def test_the_answer_says_why_not_in_the_calendar_s_middle_and_what_the_closed_days_cost() -> None:
    answer = turn_days(TurnQuestion(run=diary().run, faces=DIARY))
    assert answer.best is not None
    assert "The calendar’s middle, Wed 10 Jun 2026, would give" in answer.because
    assert "opening A at 42 lx, opening B at 45 lx" in answer.because
    # Half of 1,291 lit hours at the means of 42 and 45 lx: 42 × 45 / 87 × 1,291 = 28,046 lx·h each.
    (cost,) = [text for text in answer.notes if "above equal" in text]
    assert cost.startswith("The worst face ends 2 % above equal on the allowed days. Turned on ")
    assert any("Not turned at all, opening A would come to 54,222" in t for t in answer.notes)
    small = TurnQuestion(
        run=diary().run, faces=DIARY, needed_above=units_of(60_000), rule="The rule"
    )
    assert any("hardly worth a handling" in text for text in turn_days(small).notes)
    needed = replace(small, needed_above=units_of(54_221))
    assert not any("hardly worth" in text for text in turn_days(needed).notes)


def test_a_face_that_is_up_and_has_had_its_share_is_to_be_turned_at_once() -> None:
    up = replace(DIARY[0], before=units_of(60_000))
    question = TurnQuestion(
        run=diary().run, faces=(up, DIARY[1]), fixed=1, shown_from=date(2025, 9, 1)
    )
    answer = turn_days(question)
    assert answer.best is not None
    assert answer.best.days[0].day == date(2026, 3, 16)  # the first Monday
    assert "turn on the first day that can be" in answer.notes[0]
    assert "The calendar’s middle, Thu 5 Mar 2026, is past" in answer.because
    assert "is past; what was had since counts." in why_this_day(answer, date(2026, 3, 16))


def test_a_day_chosen_says_what_it_gives_and_why_it_is_not_the_calendar_s_middle() -> None:
    answer = turn_days(TurnQuestion(run=diary().run, faces=DIARY))
    even = why_this_day(answer, date(2026, 6, 15))
    assert even.startswith("Most even of the allowed days: opening A 28,518 lx·h, opening B 27,405")
    assert even.endswith("Wed 10 Jun 2026, is no day on which a turn can be made.")
    assert len(even) < 240  # it stands in a line of Today and on one page of the instruction
    other = why_this_day(answer, date(2026, 6, 8))
    assert other.startswith("opening A 26,376 lx·h, opening B 29,700 lx·h; Mon 15 Jun 2026 ")
    assert "would be the most even" in other
    assert why_this_day(answer, date(2026, 6, 10)) == ""


def test_faces_that_may_change_places_are_tried_in_every_order() -> None:
    tight = replace(DIARY[1], last_day=date(2026, 5, 1))
    fixed = TurnQuestion(run=diary().run, faces=(DIARY[0], tight))
    assert turn_days(fixed).best is None
    assert "passes its last day" in turn_days(fixed).because
    free = turn_days(replace(fixed, any_order=True))
    assert free.best is not None
    assert [row.face.label for row in free.best.stretches] == ["opening B", "opening A"]
    none = turn_days(replace(fixed, run=replace(fixed.run, allowed=())))
    assert "1 turns are needed and 0 days are allowed" in none.because


def test_limits_of_a_face_bind_its_stretch() -> None:
    capped = replace_faces(most=units_of(26_000))
    best = capped.best()
    assert best is not None
    assert doses(best)[0] <= 26_000
    assert best.days[0].day == date(2026, 6, 1)
    ended = replace_faces(last_day=date(2026, 5, 20)).best()
    assert ended is not None
    assert ended.stretches[0].last <= date(2026, 5, 20)
    assert replace_faces(last_day=OPENS).best() is None
    (fault,) = replace_faces(most=1).single()[0].faults
    assert fault == "opening A gets more than its account allows."


def replace_faces(**values: Any) -> Sharing:
    first = Turned(label="opening A", level=level_of(42), **values)
    return Sharing(diary().run, (first, DIARY[1]))


def test_a_stretch_has_no_more_days_than_it_may() -> None:
    best = replace_faces(most_days=60).best()
    assert best is not None
    first, _ = best.stretches
    assert (first.last - first.first).days + 1 == 58  # to Sunday 10 May, turned on the Monday
    assert best.days[0].day == date(2026, 5, 11)


def test_of_two_plans_alike_the_earlier_is_taken() -> None:
    start = date(2026, 1, 1)
    run = Run(
        timetable=every_day(9 * 60, 17 * 60),
        zone="UTC",
        first=start,
        last=start + timedelta(29),
        allowed=tuple(TurnDay(start + timedelta(n), When.BEFORE_OPENING) for n in (20, 10)),
    )
    best = Sharing(run, TWO).best()
    assert best is not None
    assert best.days[0].day == start + timedelta(10)
    assert best.order[:2] == Sharing(run, TWO).single()[1].order[:2]


def test_a_face_above_the_water_level_is_not_to_be_shown() -> None:
    faces = (Turned(label="tired", level=level_of(45), before=units_of(200_000)), *DIARY)
    level, shares = Sharing(diary().run, faces).level_of_even()
    assert shares[0] == 0
    assert all(share > 0 for share in shares[1:])
    assert level < units_of(200_000)


def test_shares_of_what_is_left_are_made_even_and_not_the_doses() -> None:
    faces = (
        Turned(label="fresh", level=level_of(45), weight=units_of(60_000)),
        Turned(label="tired", level=level_of(45), weight=units_of(20_000)),
    )
    best = Sharing(diary().run, faces).best()
    assert best is not None
    fresh, tired = doses(best)
    assert fresh / 60_000 == pytest.approx(tired / 20_000, rel=0.15)


# Against trying everything

days_of = st.integers(6, 30)


@st.composite
def small(draw: st.DrawFn) -> Sharing:
    first = draw(st.sampled_from((date(2026, 3, 20), date(2026, 10, 20))))
    last = first + timedelta(draw(st.integers(12, 40)))
    days = [first + timedelta(n) for n in range(1, (last - first).days + 1)]
    picked = draw(st.lists(st.sampled_from(days), unique=True, max_size=9))
    allowed = tuple(TurnDay(day, draw(st.sampled_from(tuple(When)))) for day in picked)
    weighted = draw(st.booleans())
    faces = [
        Turned(
            label=str(n),
            level=draw(st.integers(1, 40)),
            before=draw(st.sampled_from((0, 0, 3, 40))) * UNITS_PER_LX_H,
            weight=draw(st.integers(1, 9)) if weighted else 1,
            most=draw(st.none() | st.integers(0, 400 * UNITS_PER_LX_H)),
            last_day=draw(st.none() | st.sampled_from(days)),
            most_days=draw(st.none() | st.integers(5, 40)),
        )
        for n in range(draw(st.integers(1, 4)))
    ]
    run = Run(
        timetable=NORTH_GALLERY,
        zone=str(LONDON),
        first=first,
        last=last,
        allowed=allowed,
        least_days=draw(st.integers(1, 5)),
    )
    return Sharing(run, faces)


def tried(sharing: Sharing) -> Sequence[Any]:
    """Every set of allowed days in order, that keeps every limit."""
    sets = combinations(sharing.allowed, len(sharing.faces) - 1)
    plans = [sharing.plan(days) for days in sets if len({row.day for row in days}) == len(days)]
    return [plan for plan in plans if not plan.faults]


@given(small())
def test_no_set_of_allowed_days_is_more_even_than_the_one_found(sharing: Sharing) -> None:
    every = tried(sharing)
    best = sharing.best()
    if not every:
        assert best is None
        return
    assert best is not None
    assert best.order == min(plan.order for plan in every)
    level, shares = sharing.level_of_even()
    assert sum(shares, Fraction(0)) == sharing.lit(sharing.run.first, sharing.run.last)
    if all(row.when is When.BEFORE_OPENING for row in best.days):
        assert best.worst >= level  # no snapping beats the unconstrained level


@given(small())
def test_swapping_equal_faces_changes_nothing(sharing: Sharing) -> None:
    named = [replace(sharing.faces[0], label=str(n)) for n in range(len(sharing.faces))]
    one, other = Sharing(sharing.run, named).best(), Sharing(sharing.run, named[::-1]).best()
    if one is None or other is None:
        assert one == other
        return
    assert one.days == other.days
    assert [row.dose for row in one.stretches] == [row.dose for row in other.stretches]


def test_a_state_with_a_level_of_its_own_counts_by_it() -> None:
    # Mondays are lit for cleaning alone: 3 h; the other days 7 h of show light and 1 h of cleaning.
    dim = Turned(label="a", level=level_of(42), other=((LampState.CLEANING, level_of(10)),))
    run = diary().run
    (row,) = Sharing(run, (dim,)).plan([]).stretches
    assert whole_lx_h(row.dose) == 1_064 * 42 + (1_291 - 1_064) * 10


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Run(timetable=NORTH_GALLERY, zone="UTC", first=CLOSES, last=OPENS, allowed=()),
        lambda: Turned(label="x", level=-1),
        lambda: Turned(label="x", level=1, weight=0),
        lambda: diary(least_days=0),
        lambda: Sharing(diary().run, ()),
        lambda: diary().plan([]),
    ],
)
def test_what_can_t_be_is_refused(wrong: Any) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        wrong()
