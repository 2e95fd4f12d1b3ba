"""Damage per lumen of a lamp's spectrum: a comparison of lamps, never part of a light account.

Relative spectral responsivity of an exposed material (Krochmann; CIE 157:2004, from memory):
s(λ) = exp(−b (λ − 300)), λ in nm, s(300) = 1. Damage per lumen is the spectrum weighted by s over
683 lm/W times the spectrum weighted by V(λ). V(λ) is the standard observer of CIE 1924 in steps of
10 nm, from memory; between the steps it is taken on a straight line. Known doubts: b is known from
memory only; the scale was checked once (illuminant A on rag paper gives 0.195 mW/lm, a lamp maker
calls less than 0.2 acceptable). An allowance in plain lux hours is not to be multiplied by it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import exp
from types import MappingProxyType
from typing import Final

LUMENS_PER_WATT: Final = 683
FIRST_NM, LAST_NM, VISIBLE_FROM_NM = 300, 780, 400
WIDEST_STEP_NM: Final = 20

RESPONSIVITY: Final = MappingProxyType(
    {
        "low-grade paper": 0.0380,
        "rag paper": 0.0125,
        "oil paint on canvas": 0.0115,
        "textiles": 0.0100,
        "watercolour on rag paper": 0.0115,
    }
)
"""b [per nm] by sample; CIE 157:2004, from memory."""

_V_FROM, _V_STEP = 380, 10
_V: Final = (
    *(0.00004, 0.00012, 0.0004, 0.0012, 0.0040, 0.0116, 0.023, 0.038, 0.060, 0.09098),
    *(0.13902, 0.20802, 0.323, 0.503, 0.710, 0.862, 0.954, 0.99495, 0.995, 0.952),
    *(0.870, 0.757, 0.631, 0.503, 0.381, 0.265, 0.175, 0.107, 0.061, 0.032),
    *(0.017, 0.00821, 0.004102, 0.002091, 0.001047, 0.00052, 0.000249, 0.00012, 0.00006),
    *(0.00003, 0.000015),
)


def responsivity(nm: float, b: float) -> float:
    """Return s(λ) for a wavelength [nm]; 1 at 300 nm.

    :raises ValueError: below 300 nm, where the formula says nothing
    """
    if nm < FIRST_NM:
        raise ValueError(f"The formula holds from {FIRST_NM} nm on, not at {nm} nm.")
    return exp(-b * (nm - FIRST_NM))


def eye(nm: float) -> float:
    """Return V(λ), the sensitivity of the eye by day, for a wavelength [nm]; 0 outside 380–780."""
    place = (nm - _V_FROM) / _V_STEP
    index = int(place)
    if place < 0 or index >= len(_V) - 1:
        return _V[-1] if place == len(_V) - 1 else 0.0
    return _V[index] + (_V[index + 1] - _V[index]) * (place - index)


@dataclass(frozen=True, slots=True, kw_only=True)
class Damage:
    """Damage per lumen [mW/lm] and UV [µW/lm] of one spectrum on one material."""

    b: float
    mw_per_lm: float
    uv_uw_per_lm: float
    first_nm: float
    last_nm: float

    def times(self, other: "Damage") -> float:
        """How many times as much this light harms as another with the same lux."""
        return self.mw_per_lm / other.mw_per_lm


def damage_per_lumen(spectrum: Mapping[float, float], b: float) -> Damage:
    """Return damage per lumen of a spectrum: wavelength [nm] to power per nm, in any one unit.

    Integrated by trapezia in steps of 1 nm, on straight lines between the given wavelengths.
    What lies below 300 nm or above 780 nm is left out.

    :raises ValueError: for fewer than two wavelengths, steps wider than 20 nm, negative power, no
        visible light, or a ``b`` that is not positive
    """
    if b <= 0:
        raise ValueError(f"b is positive, not {b}.")
    points = sorted((nm, power) for nm, power in spectrum.items() if FIRST_NM <= nm <= LAST_NM)
    if len(points) < 2:
        raise ValueError("A spectrum needs at least two wavelengths between 300 and 780 nm.")
    if any(power < 0 for _, power in points):
        raise ValueError("Power cannot be negative.")
    if any(after - before > WIDEST_STEP_NM for (before, _), (after, _) in pairwise(points)):
        raise ValueError(f"The spectrum has a step wider than {WIDEST_STEP_NM} nm.")
    harm = light = ultraviolet = 0.0
    for (nm, power), (next_nm, next_power) in pairwise(_every_nm(points)):
        harm += (power * responsivity(nm, b) + next_power * responsivity(next_nm, b)) / 2
        light += (power * eye(nm) + next_power * eye(next_nm)) / 2
        ultraviolet += (power + next_power) / 2 if next_nm <= VISIBLE_FROM_NM else 0.0
    if not light:
        raise ValueError("The spectrum holds no visible light.")
    lumens = LUMENS_PER_WATT * light
    return Damage(
        b=b,
        mw_per_lm=harm / lumens * 1e3,
        uv_uw_per_lm=ultraviolet / lumens * 1e6,
        first_nm=points[0][0],
        last_nm=points[-1][0],
    )


def tungsten() -> dict[float, float]:
    """Relative power of the CIE's illuminant A by wavelength [nm], by its formula (ISO 11664-2)."""
    return {
        float(nm): (560 / nm) ** 5
        * (exp(1.435e7 / (2_848 * 560)) - 1)
        / (exp(1.435e7 / (2_848 * nm)) - 1)
        for nm in range(FIRST_NM, LAST_NM + 1, 5)
    }


def _every_nm(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the spectrum at every whole nanometre it covers."""
    found = []
    index = 0
    for nm in range(-int(-points[0][0] // 1), int(points[-1][0]) + 1):
        while index < len(points) - 2 and points[index + 1][0] <= nm:
            index += 1
        (before, low), (after, high) = points[index], points[index + 1]
        found.append((float(nm), low + (high - low) * (nm - before) / (after - before)))
    return found
