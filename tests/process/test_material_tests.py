"""Tests of materials: what counts on a day, what is said against a use.

Outside checks: three grades of the Oddy test and five years until it is made again are common
practice (from memory; no text seen).
"""

from datetime import date

import pytest

from lifecycle.process.material_tests import (
    HowTested,
    MaterialUse,
    Rating,
    ResultOnDay,
    Standing,
    against,
    counts_until,
    standing_on,
    warnings_of,
)

DAY = date(2026, 3, 11)


def result(
    rating: Rating = Rating.PERMANENT,
    *,
    how: HowTested = HowTested.ODDY,
    tested_on: date = date(2024, 5, 2),
    until: date | None = None,
) -> ResultOnDay:
    return ResultOnDay(
        how=how, rating=rating, tested_on=tested_on, until=until or counts_until(tested_on)
    )


def why_not(standing: Standing, use: MaterialUse, *, listed: bool = False) -> list[str]:
    return list(against(use, standing, on_the_list=listed))


def test_a_result_counts_through_its_last_day_and_no_longer() -> None:
    last = standing_on([result(until=DAY)], DAY)
    assert (len(last.counting), last.lapsed, last.next_lapse) == (1, (), DAY)
    over = standing_on([result(until=date(2026, 3, 10))], DAY)
    assert (over.counting, len(over.lapsed), over.next_lapse) == ((), 1, None)
    assert counts_until(date(2021, 3, 11)) == DAY


def test_of_each_kind_the_youngest_speaks_whatever_the_order_they_came_in() -> None:
    good, bad = result(), result(Rating.UNSUITABLE, tested_on=date(2025, 1, 8))
    for rows in ([good, bad], [bad, good]):
        assert standing_on(rows, DAY).bad == (bad,)
    passed = result(Rating.PASSED, how=HowTested.PHOTOGRAPHIC_ACTIVITY)
    assert len(standing_on([bad, passed], DAY).counting) == 2


def test_a_lapse_is_warned_and_a_bad_result_does_not_lapse_into_a_good_one() -> None:
    (text,) = warnings_of(standing_on([result(until=date(2026, 3, 10))], DAY))
    assert "counted until Tue 10 Mar 2026" in text
    failed = result(Rating.FAILED, how=HowTested.OTHER, until=date(2025, 1, 1))
    (text,) = warnings_of(standing_on([failed], DAY))
    assert "Keep it away" in text
    (text,) = warnings_of(standing_on([result(Rating.TEMPORARY)], DAY))
    assert "six months" in text
    assert list(warnings_of(standing_on([result()], DAY))) == []


@pytest.mark.parametrize("use", MaterialUse)
def test_without_a_test_that_counts_only_the_house_list_lets_a_material_in(
    use: MaterialUse,
) -> None:
    assert why_not(Standing(), use)
    assert why_not(Standing(), use, listed=True) == []


def test_a_closed_case_asks_for_the_oddy_test_and_u_bars_the_case_alone() -> None:
    only_paper = standing_on([result(Rating.PASSED, how=HowTested.PH_AND_BLEEDING)], DAY)
    assert why_not(only_paper, MaterialUse.CASE) == ["no Oddy test of it counts today"]
    assert why_not(only_paper, MaterialUse.CONTACT) == []
    unsuitable = standing_on([result(Rating.UNSUITABLE)], DAY)
    assert why_not(unsuitable, MaterialUse.CASE, listed=True)
    assert why_not(unsuitable, MaterialUse.CONTACT, listed=True) == []
    failed = standing_on([result(Rating.FAILED, how=HowTested.PHOTOGRAPHIC_ACTIVITY)], DAY)
    for use in MaterialUse:
        assert why_not(failed, use, listed=True), use
