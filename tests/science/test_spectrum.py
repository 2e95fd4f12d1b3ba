"""Damage per lumen: the formula's own table and two standard illuminants.

Illuminant A is the formula of ISO 11664-2; D65 is its table in steps of 10 nm, from memory. The
figures they are held to were computed apart, with another program on data of the colour-science
package, in steps of 1 nm.
"""

from math import exp

import pytest

from lifecycle.science.spectrum import RESPONSIVITY, damage_per_lumen, eye, responsivity

A: dict[float, float] = {
    nm: 100
    * (560 / nm) ** 5
    * (exp(1.435e7 / (2_848 * 560)) - 1)
    / (exp(1.435e7 / (2_848 * nm)) - 1)
    for nm in range(300, 831, 5)
}
D65: dict[float, float] = dict(
    zip(
        range(300, 781, 10),
        (
            *(0.0341, 3.2945, 20.236, 37.0535, 39.9488, 44.9117, 46.6383, 52.0891, 49.9755),
            *(54.6482, 82.7549, 91.486, 93.4318, 86.6823, 104.865, 117.008, 117.812, 114.861),
            *(115.923, 108.811, 109.354, 107.802, 104.79, 107.689, 104.405, 104.046, 100),
            *(96.3342, 95.788, 88.6856, 90.0062, 89.5991, 87.6987, 83.2886, 83.6992, 80.0268),
            *(80.2146, 82.2778, 78.2842, 69.7213, 71.6091, 74.349, 61.604, 69.8856, 75.087),
            *(63.5927, 46.4182, 66.8054, 63.3828),
        ),
        strict=True,
    )
)
RAG = RESPONSIVITY["rag paper"]


def from_400(spectrum: dict[float, float]) -> dict[float, float]:
    return {nm: power for nm, power in spectrum.items() if nm >= 400}


@pytest.mark.parametrize(
    ("nm", "paper", "rag", "oil", "textile"),
    [
        (300, 1, 1, 1, 1),
        (350, 0.1496, 0.5353, 0.5627, 0.6065),
        (400, 0.02237, 0.2865, 0.3166, 0.3679),
        (450, 0.003346, 0.1534, 0.1782, 0.2231),
        (500, 0.0005005, 0.08208, 0.1003, 0.1353),
        (550, 7.485e-05, 0.04394, 0.05642, 0.08208),
        (600, 1.120e-05, 0.02352, 0.03175, 0.04979),
        (700, 2.505e-07, 0.006738, 0.01005, 0.01832),
    ],
)
def test_the_responsivity_has_the_values_of_its_table(
    nm: int, paper: float, rag: float, oil: float, textile: float
) -> None:
    for b, value in ((0.0380, paper), (0.0125, rag), (0.0115, oil), (0.0100, textile)):
        assert responsivity(nm, b) == pytest.approx(value, rel=5e-4)


def test_illuminant_a_on_rag_paper_gives_0_195_milliwatts_a_lumen() -> None:
    found = damage_per_lumen(A, RAG)
    assert found.mw_per_lm == pytest.approx(0.195, rel=5e-3)
    assert found.uv_uw_per_lm == pytest.approx(79.5, rel=2e-2)


@pytest.mark.parametrize(("first", "times"), [(300, 2.929), (400, 1.972)])
def test_daylight_harms_so_many_times_as_much_as_a_tungsten_lamp(first: int, times: float) -> None:
    day, lamp = (D65, A) if first == 300 else (from_400(D65), from_400(A))
    ratio = damage_per_lumen(day, RAG).times(damage_per_lumen(lamp, RAG))
    assert ratio == pytest.approx(times, rel=5e-3)


def test_daylight_holds_546_microwatts_of_uv_a_lumen() -> None:
    assert damage_per_lumen(D65, RAG).uv_uw_per_lm == pytest.approx(546, rel=2e-2)


def test_a_dimmer_lamp_of_the_same_colour_harms_as_much_a_lumen() -> None:
    dim = {nm: power / 7 for nm, power in D65.items()}
    assert damage_per_lumen(dim, RAG).mw_per_lm == pytest.approx(
        damage_per_lumen(D65, RAG).mw_per_lm
    )


def test_the_eye_sees_best_at_555_and_nothing_outside() -> None:
    assert eye(555) == pytest.approx(1, rel=6e-3)
    assert (eye(379), eye(781), eye(780)) == (0, 0, 0.000015)


@pytest.mark.parametrize(
    ("spectrum", "says"),
    [
        ({}, "two wavelengths"),
        ({500: 1.0}, "two wavelengths"),
        ({300: 1.0, 310: 1.0}, "no visible light"),
        ({500: 1.0, 510: -1.0}, "negative"),
        ({500: 1.0, 530: 1.0}, "wider than 20 nm"),
    ],
)
def test_what_is_no_spectrum_is_refused(spectrum: dict[float, float], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        damage_per_lumen(spectrum, RAG)


def test_a_wavelength_below_300_is_left_out_and_a_b_of_nought_refused() -> None:
    assert damage_per_lumen({290.0: 999.0, **D65}, RAG) == damage_per_lumen(D65, RAG)
    with pytest.raises(ValueError, match="positive"):
        damage_per_lumen(D65, 0)
    with pytest.raises(ValueError, match="from 300 nm"):
        responsivity(299, RAG)
