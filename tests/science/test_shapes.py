"""Lengths, areas, cells and scales, against worked values and against what must always hold."""

from decimal import Decimal
from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.science.scale import Ruler, rounded, step_for
from lifecycle.science.shapes import (
    area,
    cell,
    cells,
    closed,
    crosses_itself,
    halfway,
    is_inside,
    middle,
    path_length,
)

TRIANGLE = [(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]
#: An L of six squares; its centre of area lies outside.
ELL = [(0.0, 0.0), (1.0, 0.0), (1.0, 9.0), (10.0, 9.0), (10.0, 10.0), (0.0, 10.0)]
SPOTS = st.lists(
    st.tuples(st.floats(0, 5000, width=32), st.floats(0, 5000, width=32)), min_size=3, max_size=12
)


def test_worked_lengths_and_areas() -> None:
    """School geometry: the 3-4-5 triangle, an L counted in squares, a square on its corner."""
    assert path_length(TRIANGLE) == 4 + 5
    assert path_length(closed(TRIANGLE)) == 3 + 4 + 5
    assert area(TRIANGLE) == 6
    assert area(ELL) == 10 + 9
    assert area([(1, 0), (2, 1), (1, 2), (0, 1)]) == pytest.approx(2)
    assert path_length([(3, 4)]) == 0


@pytest.mark.parametrize("corners", [3, 4, 6, 12])
def test_regular_polygons_have_the_area_and_edge_of_their_formulas(corners: int) -> None:
    """Area n r² sin(2π/n) / 2, edge 2 n r sin(π/n) (mathematical common knowledge)."""
    points = [
        (50 + 20 * cos(2 * pi * n / corners), 70 + 20 * sin(2 * pi * n / corners))
        for n in range(corners)
    ]
    assert area(points) == pytest.approx(corners * 400 * sin(2 * pi / corners) / 2)
    assert path_length(closed(points)) == pytest.approx(2 * corners * 20 * sin(pi / corners))
    assert middle(points) == pytest.approx((50, 70))
    assert not crosses_itself(points)


@given(SPOTS, st.integers(0, 11), st.floats(0.5, 3), st.floats(-50, 50))
def test_area_does_not_care_where_one_begins_which_way_round_or_where_it_lies(
    points: list[tuple[float, float]], first: int, times: float, off: float
) -> None:
    whole, slack = area(points), 1e-6 * (1 + max(max(p) for p in points)) ** 2
    first %= len(points)
    assert area([*points[first:], *points[:first]]) == pytest.approx(whole, abs=slack)
    assert area(points[::-1]) == pytest.approx(whole, abs=slack)
    assert area([(x + off, y - off) for x, y in points]) == pytest.approx(whole, abs=slack)
    scaled = [(x * times, y * times) for x, y in points]
    assert area(scaled) == pytest.approx(whole * times**2, abs=slack * 10)
    assert path_length(scaled) == pytest.approx(path_length(points) * times, rel=1e-6)


@given(SPOTS)
def test_half_way_halves_the_path(points: list[tuple[float, float]]) -> None:
    whole, spot = path_length(points), halfway(points)
    before, best = 0.0, whole
    for a, b in pairwise(points):
        side = hypot(b[0] - a[0], b[1] - a[1])
        here = hypot(spot[0] - a[0], spot[1] - a[1])
        if abs(here + hypot(b[0] - spot[0], b[1] - spot[1]) - side) < 1e-6 * (1 + side):
            best = min(best, abs(before + here - whole / 2))
        before += side
    assert best <= 1e-5 * (1 + whole)


def test_a_crescent_is_pointed_at_on_its_edge_not_beside_it() -> None:
    assert not is_inside((2.9, 7.1), ELL)
    x, y = middle(ELL)
    assert x in {0.0, 1.0, 10.0} or y in {0.0, 9.0, 10.0}
    assert is_inside(middle(TRIANGLE), TRIANGLE)


@pytest.mark.parametrize(
    ("points", "crosses"),
    [
        (TRIANGLE, False),
        (ELL, False),
        ([(0, 0), (4, 4), (4, 0), (0, 4)], True),  # a bow tie
        ([(0, 0), (8, 0), (4, 0), (4, 4)], True),  # runs back over its own side
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], True),  # a corner touches a side
    ],
)
def test_an_outline_that_crosses_or_touches_itself_is_found(
    points: list[tuple[float, float]], crosses: bool
) -> None:
    assert crosses_itself(points) is crosses


def test_the_grid_lies_over_the_face_not_over_the_margin_of_the_picture() -> None:
    frame = (100.0, 50.0, 300.0, 150.0)
    assert cell((101, 51), frame) == "A1"
    assert cell((250, 125), frame) == "B2"
    assert cell((399, 199), frame) == "C3"
    assert cell((0, 400), frame) == "C1"  # outside: the nearest
    assert cells([(120, 60), (220, 160)], frame) == ("A1", "C2")
    with pytest.raises(ValueError, match="width and a height"):
        cell((0, 0), (0, 0, 0, 5))


RULER = Ruler(start=(100, 900), end=(1100, 900), mm=100, width=4000, height=3000)


def test_a_ruler_gives_millimetres_and_square_millimetres() -> None:
    """Worked by hand: 1,000 px are 100 mm, so 0.1 mm a pixel and 0.01 mm² a square pixel."""
    assert RULER.mm_per_pixel == pytest.approx(0.1)
    assert RULER.placing == 4  # a thousandth of 4,000 px
    # √2·4 px·0.1 = 0.566 mm at the ends; 30 mm · √2·4/1000 = 0.170 mm by the ruler: 0.591 → 1
    length = RULER.length([(0, 0), (300, 0)])
    assert (length.value, length.step) == (Decimal(30), Decimal(1))
    # 200 × 100 px = 200 mm²; corners: 4·√(4·(200²+100²))/2 = 894 px² → 8.94 mm²;
    # ruler: 2·200·√2·4/1000 = 2.26 mm²; together 9.23 → 10
    surface = RULER.area([(0, 0), (200, 0), (200, 100), (0, 100)])
    assert (surface.value, surface.step) == (Decimal(200), Decimal(10))
    assert RULER.pixels_of(35) == pytest.approx(350)
    assert RULER.distance(0).value == 0


def test_a_ruler_at_a_slant_counts_both_sides() -> None:
    slanted = Ruler(start=(0, 0), end=(300, 400), mm=50, width=1000, height=1000)
    assert slanted.mm_per_pixel == pytest.approx(0.1)


@pytest.mark.parametrize(
    "wrong",
    [{"end": (100, 900)}, {"mm": 0}, {"mm": -5}, {"width": 0}],
)
def test_a_ruler_without_length_is_refused(wrong: dict[str, object]) -> None:
    values: dict[str, object] = {
        "start": (100, 900), "end": (1100, 900), "mm": 100, "width": 4000, "height": 3000,
    }  # fmt: skip
    with pytest.raises(ValueError, match=r"must|no size"):
        Ruler(**{**values, **wrong})  # type: ignore[arg-type]


@given(st.floats(1e-4, 1e5), st.floats(0, 1e6, allow_subnormal=False))
def test_rounding_is_to_the_next_step_above_what_it_can_be_off(off: float, value: float) -> None:
    step = step_for(off)
    assert off <= float(step) * (1 + 1e-9)
    assert float(step) <= 2.5 * off * (1 + 1e-9)  # 1, 2, 5, 10: at most two and a half apart
    assert step.as_tuple().digits in {(1,), (2,), (5,)}
    figure = rounded(value, off)
    assert abs(float(figure.value) - value) <= float(step) / 2 * (1 + 1e-9)
    assert figure.value % step == 0


@given(st.floats(10, 2000), st.floats(1, 500), st.floats(0, 2 * pi))
def test_the_true_length_lies_within_the_rounding_when_points_are_off_by_a_third_of_the_placing(
    pixels: float, mm: float, turn: float
) -> None:
    """The rounding must cover what it is said to cover, in every direction of the error."""
    ruler = Ruler(start=(0, 0), end=(1500, 0), mm=mm, width=4000, height=3000)
    err = ruler.placing / 3
    drawn = ruler.length([(err * cos(turn), err * sin(turn)), (pixels, 0)])
    true = pixels * ruler.mm_per_pixel
    assert abs(float(drawn.value) - true) <= float(drawn.step)


def test_corners_of_a_bent_line_pull_less_than_its_ends() -> None:
    """Two equal sides at a right angle: ends 1 + 1, corner |u − v|² = 2; straight: corner 0."""
    straight = RULER.length([(0, 0), (1000, 0), (2000, 0)])
    bare = RULER.length([(0, 0), (2000, 0)])
    assert straight == bare
    assert RULER.length([(0, 0), (0, 0), (2000, 0)]) == bare
    assert sqrt(2) * 4 * 0.1 < 1 <= float(bare.step)
