"""Laying pictures over each other, against numpy's least squares and maps that are known."""

from math import cos, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.science.common_points import (
    Map,
    NoFit,
    affine,
    distances,
    residual,
    similarity,
    stretched,
)

pixel = st.floats(-5000, 5000, allow_nan=False)
point = st.tuples(pixel, pixel)
pairs = st.lists(st.tuples(point, point), min_size=3, max_size=6)


def spread_out(points: list[tuple[float, float]]) -> bool:
    """Whether the points are far enough from one place and from one line to compare figures."""
    centred = np.array(points) - np.mean(points, axis=0)
    return bool(np.linalg.svd(centred, compute_uv=False)[-1] > 10)


@given(pairs)
def test_the_similarity_is_numpy_s_least_squares(
    both: list[tuple[tuple[float, float], ...]],
) -> None:
    """numpy.linalg.lstsq on x' = a·x − b·y + e, y' = b·x + a·y + f."""
    upper, lower = [one for one, _ in both], [other for _, other in both]
    if not spread_out(upper):
        return
    rows = [row for x, y in upper for row in ((x, -y, 1, 0), (y, x, 0, 1))]
    a, b, e, f = np.linalg.lstsq(np.array(rows), np.array(lower).ravel(), rcond=None)[0]
    if np.hypot(a, b) < 1e-6:
        return
    fit = similarity(upper, lower)
    assert (fit.a, fit.b, fit.c, fit.d) == pytest.approx((a, b, -b, a), rel=1e-6, abs=1e-6)
    assert (fit.e, fit.f) == pytest.approx((e, f), rel=1e-6, abs=1e-3)


@given(pairs)
def test_the_affine_map_is_numpy_s_least_squares(
    both: list[tuple[tuple[float, float], ...]],
) -> None:
    """numpy.linalg.lstsq on x' = a·x + c·y + e, and the same for y'."""
    upper, lower = [one for one, _ in both], [other for _, other in both]
    if not (spread_out(upper) and spread_out(lower)):
        return
    rows = np.array([(x, y, 1) for x, y in upper])
    (a, b), (c, d), (e, f) = np.linalg.lstsq(rows, np.array(lower), rcond=None)[0]
    if abs(a * d - b * c) < 1e-6:
        return
    fit = affine(upper, lower)
    assert (fit.a, fit.b, fit.c, fit.d) == pytest.approx((a, b, c, d), rel=1e-5, abs=1e-5)
    assert (fit.e, fit.f) == pytest.approx((e, f), rel=1e-5, abs=1e-1)


def test_a_known_turn_is_found_and_leaves_nothing_over() -> None:
    known = Map(1.2 * cos(0.3), 1.2 * sin(0.3), -1.2 * sin(0.3), 1.2 * cos(0.3), 40, -7)
    upper = [(0.0, 0.0), (900.0, 30.0), (410.0, 700.0)]
    lower = [known.at(one) for one in upper]
    for fit in (similarity(upper, lower), affine(upper, lower), similarity(upper[:2], lower[:2])):
        assert fit.at((123, 456)) == pytest.approx(known.at((123, 456)))
        assert residual(fit, upper, lower) == pytest.approx(0, abs=1e-9)
    # One point marked 3 px beside its place: the similarity can't hide it, the affine map does.
    lower[2] = (lower[2][0] + 3, lower[2][1])
    assert 0.5 < residual(similarity(upper, lower), upper, lower) < 3
    assert residual(affine(upper, lower), upper, lower) == pytest.approx(0, abs=1e-9)
    assert len(distances(Map(), upper, lower)) == 3


def test_edge_upon_edge() -> None:
    assert stretched((800, 600), (1600, 900)).at((800, 600)) == (1600, 900)


@pytest.mark.parametrize(
    ("fit", "points", "said"),
    [
        (similarity, [(1.0, 1.0)], "at least two points"),
        (similarity, [(1.0, 1.0), (1.0, 1.0)], "in one place"),
        (affine, [(0.0, 0.0), (1.0, 1.0)], "at least three points"),
        (affine, [(0.0, 0.0), (10.0, 10.0), (20.0, 20.0)], "on one line"),
    ],
)
def test_points_that_say_nothing_are_refused_in_words(
    fit: object, points: list[tuple[float, float]], said: str
) -> None:
    beside = [(0.0, 0.0), (9.0, 1.0), (4.0, 8.0)][: len(points)]
    assert callable(fit)
    with pytest.raises(NoFit, match=said):
        fit(points, beside)
    if said == "on one line":
        with pytest.raises(NoFit, match=said):
            fit(beside, points)
