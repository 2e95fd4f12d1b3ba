"""Colour difference after CIEDE2000, and whether a difference between two dates is shown at all.

Source: CIE 142 and ISO/CIE 11664-6, with the notes on its computation by Sharma, Wu and Dalal
(2005); kL = kC = kH = 1, as museums use it. It is never mixed with the older difference of 1976.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, exp, hypot, isfinite, radians, sin, sqrt
from typing import Final, NamedTuple


class Lab(NamedTuple):
    """A colour in CIELAB: L* from 0 to 100, a* and b* around 0; no unit."""

    l_star: float
    a_star: float
    b_star: float


#: A difference below so many times the repeatability is not shown (common practice).
TIMES_REPEATABILITY: Final = 2
#: Fewer repeats say nothing of how well a spot can be read again (common practice: 3 to 5).
LEAST_REPEATS: Final = 2
#: Bands in our own words: upper end, and what it says.
BANDS: Final = (
    (1.0, "no change"),
    (2.0, "look again"),
    (5.0, "changed"),
    (float("inf"), "marked change"),
)


def ciede2000(first: Lab, second: Lab) -> float:
    """The colour difference of two colours, symmetric, from 0 upward.

    >>> round(ciede2000(Lab(50, 2.6772, -79.7751), Lab(50, 0, -82.7485)), 4)
    2.0425

    :raises ValueError: for a value that is no finite number
    """
    if not all(isfinite(value) for value in (*first, *second)):
        raise ValueError("A colour needs three finite numbers.")
    mean_chroma = (hypot(first.a_star, first.b_star) + hypot(second.a_star, second.b_star)) / 2
    grey = 0.5 * (1 - sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7)))
    a_one, a_two = first.a_star * (1 + grey), second.a_star * (1 + grey)
    chroma_one, chroma_two = hypot(a_one, first.b_star), hypot(a_two, second.b_star)
    hue_one, hue_two = _hue(a_one, first.b_star), _hue(a_two, second.b_star)
    turn, mean_hue = _turn_and_mean(hue_one, hue_two, neutral=chroma_one * chroma_two == 0)
    lightness = second.l_star - first.l_star
    chroma = chroma_two - chroma_one
    hue = 2 * sqrt(chroma_one * chroma_two) * sin(radians(turn) / 2)
    mean_l = (first.l_star + second.l_star) / 2
    mean_c = (chroma_one + chroma_two) / 2
    shape = (
        1
        - 0.17 * cos(radians(mean_hue - 30))
        + 0.24 * cos(radians(2 * mean_hue))
        + 0.32 * cos(radians(3 * mean_hue + 6))
        - 0.20 * cos(radians(4 * mean_hue - 63))
    )
    scale_l = 1 + 0.015 * (mean_l - 50) ** 2 / sqrt(20 + (mean_l - 50) ** 2)
    scale_c = 1 + 0.045 * mean_c
    scale_h = 1 + 0.015 * mean_c * shape
    blue = 30 * exp(-(((mean_hue - 275) / 25) ** 2))
    rotation = -sin(radians(2 * blue)) * 2 * sqrt(mean_c**7 / (mean_c**7 + 25.0**7))
    parts = lightness / scale_l, chroma / scale_c, hue / scale_h
    return sqrt(
        max(0.0, parts[0] ** 2 + parts[1] ** 2 + parts[2] ** 2 + rotation * parts[1] * parts[2])
    )


def _hue(a: float, b: float) -> float:
    """Hue angle from 0 to 360 degrees; 0 for a neutral colour."""
    return 0.0 if a == b == 0 else degrees(atan2(b, a)) % 360


def _turn_and_mean(one: float, two: float, *, neutral: bool) -> tuple[float, float]:
    """The turn from one hue to the other, -180 to 180, and the mean hue on the shorter way."""
    if neutral:
        return 0.0, one + two
    turn = two - one
    if abs(turn) <= 180:
        return turn, (one + two) / 2
    total = one + two
    mean = (total + 360) / 2 if total < 360 else (total - 360) / 2
    return (turn - 360 if turn > 180 else turn + 360), mean


def centre(readings: Sequence[Lab]) -> Lab:
    """The mean of repeated readings of one spot. Errors: ValueError without a reading."""
    if not readings:
        raise ValueError("A mean needs at least one reading.")
    count = len(readings)
    return Lab(*(sum(one[axis] for one in readings) / count for axis in range(3)))


def repeatability(readings: Sequence[Lab]) -> float | None:
    """How well a spot was read again: the mean CIEDE2000 of its readings from their mean.

    None for a single reading, which says nothing of it.
    """
    if len(readings) < LEAST_REPEATS:
        return None
    middle = centre(readings)
    return sum(ciede2000(one, middle) for one in readings) / len(readings)


@dataclass(frozen=True, slots=True)
class Difference:
    """Between two dates: CIEDE2000 of the means, the repeatability beside it, and what it says.

    ``shown`` is None where no repeatability is known, so that nothing can be said.
    """

    value: float
    repeatability: float | None

    @property
    def shown(self) -> bool | None:
        if self.repeatability is None:
            return None
        return self.value >= TIMES_REPEATABILITY * self.repeatability

    @property
    def words(self) -> str:
        if self.shown is None:
            return "can’t be said: no repeatability"
        if not self.shown:
            return "not shown"
        return next(words for end, words in BANDS if self.value < end)


def difference(
    before: Sequence[Lab], after: Sequence[Lab], *, stated: Sequence[float] = ()
) -> Difference:
    """Compare repeated readings of two dates; the worst repeatability known counts.

    :param stated: repeatabilities that the instrument's papers state, in the same measure
    """
    known = [
        one for one in (repeatability(before), repeatability(after), *stated) if one is not None
    ]
    return Difference(ciede2000(centre(before), centre(after)), max(known, default=None))
