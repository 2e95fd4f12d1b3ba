"""Millimetres from a picture: two points of a ruler and what lies between them.

The figures hold for what lies in the plane of the ruler and was pictured squarely; a tilted camera
or a ruler beside a raised object makes them wrong by more than the rounding says.

How far a mark can be off is taken from how well a person can place it: ``PLACING`` of the longer
side of the picture, at least one pixel (our own assumption: about one screen pixel when the
whole picture is seen). It is carried through by the law of propagation of uncertainty (JCGM
100:2008, 5.1.2, independent inputs), and figures are rounded to the next step of 1, 2 or 5 above
it, so that no figure looks better than it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from itertools import pairwise
from math import floor, hypot, log10, sqrt

from lifecycle.science.shapes import Point, area, path_length

#: How well a person places a point, as a part of the picture's longer side.
PLACING = 0.001


@dataclass(frozen=True, slots=True)
class Rounded:
    """A rounded figure with the step it was rounded to, both in the same unit (mm or mm²)."""

    value: Decimal
    step: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Two points of a ruler in pixels and the millimetres between them; the picture's size in px.

    :raises ValueError: for two points in one place, no millimetres, or a picture without a size
    """

    start: Point
    end: Point
    mm: float
    width: int
    height: int

    def __post_init__(self) -> None:
        if self.pixels <= 0:
            raise ValueError("The two points of the ruler must not lie in one place.")
        if self.mm <= 0:
            raise ValueError("The distance on the ruler must be more than 0 mm.")
        if self.width < 1 or self.height < 1:
            raise ValueError("The picture has no size.")

    @property
    def pixels(self) -> float:
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def mm_per_pixel(self) -> float:
        return self.mm / self.pixels

    @property
    def placing(self) -> float:
        """How well a point is placed, in pixels."""
        return max(1.0, PLACING * max(self.width, self.height))

    @property
    def _part(self) -> float:
        """How well the scale itself is known, as a part of it: both ends of the ruler."""
        return sqrt(2) * self.placing / self.pixels

    def length(self, points: Sequence[Point]) -> Rounded:
        """Return the length of the path through the points, in mm.

        :raises ValueError: for fewer than two points, or all of them in one place
        """
        pixels = path_length(points)
        if pixels <= 0:
            raise ValueError("A length needs two points in different places.")
        off = self.placing * sqrt(_pull_of_ends(points))
        value = pixels * self.mm_per_pixel
        return rounded(value, hypot(off * self.mm_per_pixel, value * self._part))

    def distance(self, pixels: float) -> Rounded:
        """Return one distance along an edge, such as an offset, in mm; 0 is allowed."""
        value = pixels * self.mm_per_pixel
        off = sqrt(2) * self.placing * self.mm_per_pixel
        return rounded(value, hypot(off, value * self._part))

    def area(self, points: Sequence[Point]) -> Rounded:
        """Return the area inside a closed path that does not cross itself, in mm².

        :raises ValueError: for a path without an area
        """
        pixels = area(points)
        if pixels <= 0:
            raise ValueError("An area needs three points that do not lie in one line.")
        count = len(points)
        across = sum(
            _square(points[(i + 1) % count], points[i - 1]) for i in range(count)
        )  # each corner moves the area by half the distance of its neighbours
        off = self.placing * sqrt(across) / 2
        value = pixels * self.mm_per_pixel**2
        return rounded(value, hypot(off * self.mm_per_pixel**2, 2 * value * self._part))

    def pixels_of(self, mm: float) -> float:
        """Return how many pixels some millimetres are."""
        return mm / self.mm_per_pixel


def _square(a: Point, b: Point) -> float:
    return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2


def _pull_of_ends(points: Sequence[Point]) -> float:
    """The sum of squares by which the length changes when each point moves by one pixel."""
    total = 0.0
    spots = [spot for i, spot in enumerate(points) if i == 0 or spot != points[i - 1]]
    ways = [((b[0] - a[0]) / d, (b[1] - a[1]) / d) for a, b in pairwise(spots) if (d := _far(a, b))]
    for before, after in zip([(0.0, 0.0), *ways], [*ways, (0.0, 0.0)], strict=True):
        total += _square(before, after)
    return total


def _far(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def step_for(off: float) -> Decimal:
    """Return the least step of 1, 2 or 5 times a power of ten that is not below ``off``.

    :raises ValueError: for 0 or less
    """
    if off <= 0:
        raise ValueError("Rounding needs an uncertainty above 0.")
    power = floor(log10(off))
    for times, shift in ((1, 0), (2, 0), (5, 0), (1, 1), (2, 1)):
        step = Decimal(times).scaleb(power + shift)
        if float(step) >= off * (1 - 1e-12):
            return step
    raise ValueError(f"No step for {off}.")  # not reached: 2 × 10^(power + 1) is above it


def rounded(value: float, off: float) -> Rounded:
    """Round a figure to the step its uncertainty asks for; a value of 0 is below that step."""
    step = step_for(off)
    steps = (Decimal(repr(value)) / step).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)
    return Rounded(steps * step, step)
