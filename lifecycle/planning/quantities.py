"""Light doses as exact integers, with a low, a likely and a high case.

Illuminance is kept in deci-lux, time in minutes: 600 deci-lux minutes are one lux hour. A cover
factor in percent and the mean of two readings would leave the integers, so a dose is counted
200 times finer (100 for the percent, 2 for the halves): 120,000 units are one lux hour. Sums are
exact and do not depend on their order; a figure is rounded only when it is shown.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final

DECILUX_MINUTES_PER_LX_H: Final = 600
FINENESS: Final = 200
UNITS_PER_LX_H: Final = DECILUX_MINUTES_PER_LX_H * FINENESS
LEVELS_PER_LX: Final = 20
"""Levels of illuminance are half deci-lux, so that the mean of two readings is a whole number."""


def level_of(lux: Decimal | int) -> int:
    """Return illuminance [lx] as a level [half deci-lux].

    :raises ValueError: for a negative value or one finer than a tenth of a lux
    """
    level = Fraction(lux) * LEVELS_PER_LX
    if level < 0:
        raise ValueError(f"Illuminance cannot be negative: {lux} lx.")
    if level.denominator != 1 or level % 2:
        raise ValueError(f"Illuminance is kept in tenths of a lux: {lux} lx.")
    return int(level)


def lux_of(level: int) -> Decimal:
    """Return a level [half deci-lux] as illuminance [lx]."""
    return Decimal(level) / LEVELS_PER_LX


def units_of(lx_h: Decimal | int) -> int:
    """Return a dose [lx·h] in units; whole lux hours and their hundredths are exact."""
    units = Fraction(lx_h) * UNITS_PER_LX_H
    if units.denominator != 1:
        raise ValueError(f"A dose is kept in steps of 1/{UNITS_PER_LX_H} lx·h: {lx_h} lx·h.")
    return int(units)


def exact_lx_h(units: int) -> Fraction:
    """Return a dose in units as an exact number of lux hours."""
    return Fraction(units, UNITS_PER_LX_H)


def whole_lx_h(units: int) -> int:
    """Return a dose in units, rounded half up to whole lux hours."""
    scaled = (Decimal(units) / UNITS_PER_LX_H).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return int(scaled)


@dataclass(frozen=True, slots=True)
class Band:
    """One quantity three times: at least, probably, at most (doses in units or levels)."""

    low: int = 0
    likely: int = 0
    high: int = 0

    @classmethod
    def sure(cls, value: int) -> "Band":
        return cls(value, value, value)

    def __add__(self, other: "Band") -> "Band":
        return Band(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def __mul__(self, factor: int) -> "Band":
        """Scale by a factor that is not negative."""
        return Band(self.low * factor, self.likely * factor, self.high * factor)

    def brighter(self, other: "Band") -> "Band":
        """Overlapping lights are not added up: the brightest wins, case by case."""
        return Band(
            max(self.low, other.low), max(self.likely, other.likely), max(self.high, other.high)
        )

    def left_of(self, allowance: int) -> "Band":
        """What is left of an allowance: the low case is the one in which most was spent."""
        return Band(allowance - self.high, allowance - self.likely, allowance - self.low)

    @property
    def spread(self) -> bool:
        return self.low != self.high

    @property
    def lx_h(self) -> tuple[int, int, int]:
        """Low, likely and high in whole lux hours, for a dose in units."""
        return whole_lx_h(self.low), whole_lx_h(self.likely), whole_lx_h(self.high)

    @property
    def likely_lx_h(self) -> int:
        return whole_lx_h(self.likely)

    @property
    def low_lx_h(self) -> int:
        return whole_lx_h(self.low)

    @property
    def high_lx_h(self) -> int:
        return whole_lx_h(self.high)


DARK: Final = Band()
