"""Doses against the blue wool references. Source of the table: science/blue_wool.py says it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.science.blue_wool import NOTICEABLE, Column, column_for, steps_of

# Mlx·h, UV present and UV removed: the commonly quoted table after Michalski, from memory, typed a
# second time here.
TABLE = {
    1: (0.22, 0.3),
    2: (0.6, 1),
    3: (1.5, 3),
    4: (3.5, 10),
    5: (8, 30),
    6: (20, 100),
    7: (50, 300),
    8: (120, 1_100),
}


@pytest.mark.parametrize("number", TABLE)
def test_each_row_holds_what_is_commonly_quoted(number: int) -> None:
    present, removed = TABLE[number]
    assert NOTICEABLE[number][Column.UV_PRESENT] == round(present * 1e6)
    assert NOTICEABLE[number][Column.UV_REMOVED] == round(removed * 1e6)


@pytest.mark.parametrize(
    ("number", "years"),
    [(1, 2.0), (2, 6.67), (3, 20), (4, 66.7), (5, 200), (6, 667), (7, 2_000), (8, 7_333)],
)
def test_years_at_150000_lux_hours_until_one_step_are_those_of_the_fact_sheet(
    number: int, years: float
) -> None:
    assert 1 / steps_of(150_000, number, 0).likely == pytest.approx(years, rel=1e-3)


@pytest.mark.parametrize(
    ("uv", "column"),
    [
        (0, Column.UV_REMOVED),
        (10, Column.UV_REMOVED),
        (10.1, Column.UV_PRESENT),
        (75, Column.UV_PRESENT),
        (None, Column.UV_PRESENT),
    ],
)
def test_the_column_is_chosen_by_the_recorded_uv_and_unmeasured_is_not_safe(
    uv: float | None, column: Column
) -> None:
    assert column_for(uv) is column


def test_a_reading_always_stands_in_its_factor_two_band() -> None:
    steps = steps_of(61_968, 2, 5)
    assert (steps.low, steps.likely, steps.high) == pytest.approx((0.030984, 0.061968, 0.123936))
    assert "factor of about 2" in steps.because


@given(st.integers(0, 10**9), st.integers(1, 8), st.none() | st.integers(0, 2_000))
def test_more_light_never_reads_as_fewer_steps(dose: int, number: int, uv: int | None) -> None:
    one, more = steps_of(dose, number, uv), steps_of(dose + 1_000, number, uv)
    assert 0 <= one.low <= one.likely <= one.high
    assert one.likely < more.likely
    assert steps_of(dose, number, 0).likely <= one.likely


@pytest.mark.parametrize(("dose", "number", "uv"), [(-1, 1, 0), (1, 0, 0), (1, 9, 0), (1, 1, -1)])
def test_what_can_t_be_is_refused(dose: int, number: int, uv: int) -> None:
    with pytest.raises(ValueError, match=r"negative|1 to 8"):
        steps_of(dose, number, uv)
