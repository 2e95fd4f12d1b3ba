"""Lay one picture over another by points that are marked in both.

Sources: the least-squares similarity of two point sets in the plane is linear in its four numbers
(closed form by centred sums; textbook knowledge, from memory) and is checked in the tests against
``numpy.linalg.lstsq``; the affine map solves its normal equations the same way.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Final

from lifecycle.science.shapes import Point

#: Points nearer to one line than this share of their spread give no affine map.
_FLAT: Final = 1e-9


class NoFit(ValueError):
    """The points can't tell how one picture lies on the other; the text says why."""


@dataclass(frozen=True, slots=True)
class Map:
    """An affine map of the plane: x' = a·x + c·y + e, y' = b·x + d·y + f (the order of SVG)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def at(self, point: Point) -> Point:
        """Where a point comes to lie.

        >>> Map(a=2, d=2, e=10).at((3, 4))
        (16.0, 8.0)
        """
        x, y = point
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f


def stretched(size: Point, onto: Point) -> Map:
    """Edge upon edge: a picture of one size, width and height, laid over one of another."""
    return Map(a=onto[0] / size[0], d=onto[1] / size[1])


def similarity(upper: Sequence[Point], lower: Sequence[Point]) -> Map:
    """Shift, turn and one scale that bring ``upper`` nearest to ``lower`` (least squares).

    Both in pixels of their own picture, two points or more in the same order.

    :raises NoFit: fewer than two points, unequal counts, or all upper points in one place
    """
    (ux, uy), (lx, ly) = _middles(upper, lower, 2)
    spread = along = across = 0.0
    for (x, y), (p, q) in zip(upper, lower, strict=True):
        x, y, p, q = x - ux, y - uy, p - lx, q - ly
        spread += x * x + y * y
        along += x * p + y * q
        across += x * q - y * p
    if spread == 0 or hypot(along, across) == 0:
        raise NoFit("The points lie in one place: mark points that are far apart.")
    a, b = along / spread, across / spread
    return Map(a, b, -b, a, lx - a * ux + b * uy, ly - b * ux - a * uy)


def affine(upper: Sequence[Point], lower: Sequence[Point]) -> Map:
    """Shift, turn, scale in two directions and slant (least squares).

    :raises NoFit: fewer than three points, unequal counts, or points on one line
    """
    (ux, uy), (lx, ly) = _middles(upper, lower, 3)
    xx = xy = yy = xp = yp = xq = yq = 0.0
    for (x, y), (p, q) in zip(upper, lower, strict=True):
        x, y, p, q = x - ux, y - uy, p - lx, q - ly
        xx, xy, yy = xx + x * x, xy + x * y, yy + y * y
        xp, yp, xq, yq = xp + x * p, yp + y * p, xq + x * q, yq + y * q
    flat = xx * yy - xy * xy
    if flat <= _FLAT * (xx + yy) ** 2:
        raise NoFit("The points lie on one line: mark a third one well beside it.")
    a, c = (xp * yy - yp * xy) / flat, (yp * xx - xp * xy) / flat
    b, d = (xq * yy - yq * xy) / flat, (yq * xx - xq * xy) / flat
    if abs(a * d - b * c) <= _FLAT:
        raise NoFit("The points of the other picture lie on one line: mark one well beside it.")
    return Map(a, b, c, d, lx - a * ux - c * uy, ly - b * ux - d * uy)


def distances(by: Map, upper: Sequence[Point], lower: Sequence[Point]) -> tuple[float, ...]:
    """How far each mapped upper point lies from its lower one, in pixels of the lower picture."""
    return tuple(
        hypot(by.at(point)[0] - x, by.at(point)[1] - y)
        for point, (x, y) in zip(upper, lower, strict=True)
    )


def residual(by: Map, upper: Sequence[Point], lower: Sequence[Point]) -> float:
    """Root of the mean square of the distances, in pixels of the lower picture.

    >>> residual(Map(), [(0, 0), (3, 4)], [(0, 0), (0, 0)])
    3.5355339059327378
    """
    apart = distances(by, upper, lower)
    return sqrt(sum(one * one for one in apart) / len(apart))


def _middles(upper: Sequence[Point], lower: Sequence[Point], least: int) -> tuple[Point, Point]:
    if len(upper) != len(lower) or len(upper) < least:
        raise NoFit(f"Mark at least {'two' if least == 2 else 'three'} points in both pictures.")
    count = len(upper)
    (ux, uy), (lx, ly) = (
        (sum(x for x, _ in points) / count, sum(y for _, y in points) / count)
        for points in (upper, lower)
    )
    return (ux, uy), (lx, ly)
