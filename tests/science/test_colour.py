"""CIEDE2000 against the published pairs and another implementation; what a difference says."""

import math

import numpy as np
import pytest
from colour.difference import delta_E_CIE2000
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.science.colour import Lab, centre, ciede2000, difference, repeatability

# The 34 pairs published with the notes of Sharma, Wu and Dalal (2005) for testing implementations.
# fmt: off
PAIRS = (
    ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    ((50.0, 2.8361, -74.02), (50.0, 0.0, -82.7485), 3.4412),
    ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, -1.1848, -84.8006), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, -0.9009, -85.5211), (50.0, 0.0, -82.7485), 1.0),
    ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    ((50.0, -1.0, 2.0), (50.0, 0.0, 0.0), 2.3669),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.001), 7.1792),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
    ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0012), 7.2195),
    ((50.0, -0.001, 2.49), (50.0, 0.0009, -2.49), 4.8045),
    ((50.0, -0.001, 2.49), (50.0, 0.001, -2.49), 4.8045),
    ((50.0, -0.001, 2.49), (50.0, 0.0011, -2.49), 4.7461),
    ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
    ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.903),
    ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
    ((50.0, 2.5, 0.0), (50.0, 3.1736, 0.5854), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 3.2972, 0.0), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 1.8634, 0.5757), 1.0),
    ((50.0, 2.5, 0.0), (50.0, 3.2592, 0.335), 1.0),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.263),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.248, -4.962), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.694), (23.0331, 14.973, -42.5619), 2.0373),
    ((36.4612, 47.858, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.441), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
)
# fmt: on
COLOURS = st.builds(
    Lab,
    st.floats(0, 100),
    st.floats(-128, 127),
    st.floats(-128, 127),
)
#: Pair 14 turns on the last bit of the arctangent (4.8045 or 4.7461 by platform).
TURNING = 13


@pytest.mark.parametrize("number", range(len(PAIRS)))
def test_each_published_pair_comes_out_as_published(number: int) -> None:
    one, two, published = PAIRS[number]
    most = 0.1 if number == TURNING else 5.1e-5
    assert ciede2000(Lab(*one), Lab(*two)) == pytest.approx(published, abs=most)
    assert ciede2000(Lab(*two), Lab(*one)) == pytest.approx(published, abs=most)


def test_all_thirty_four_pairs_are_here() -> None:
    assert len(PAIRS) == 34


def test_random_colours_agree_with_colour_science() -> None:
    """colour-science 0.4.7 (BSD-3-Clause), its own implementation, on 20,000 random pairs."""
    random = np.random.default_rng(20261126)
    low, high = [0, -128, -128], [100, 127, 127]
    one, two = random.uniform(low, high, (20_000, 3)), random.uniform(low, high, (20_000, 3))

    theirs = delta_E_CIE2000(one, two)
    ours = [ciede2000(Lab(*a), Lab(*b)) for a, b in zip(one.tolist(), two.tolist(), strict=True)]

    assert np.max(np.abs(theirs - np.array(ours))) < 1e-8


@given(COLOURS, COLOURS)
def test_it_is_symmetric_and_nought_for_the_same_colour(one: Lab, two: Lab) -> None:
    there, back = ciede2000(one, two), ciede2000(two, one)
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-6)
    assert ciede2000(one, one) == pytest.approx(0, abs=1e-9)


def test_a_colour_without_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        ciede2000(Lab(math.nan, 0, 0), Lab(50, 0, 0))
    with pytest.raises(ValueError, match="at least one"):
        centre([])


def test_below_twice_the_repeatability_a_difference_is_not_shown() -> None:
    """Common practice: 2 × repeatability; the worst of both dates and of what is stated counts."""
    steady = [Lab(50.0, 0, 0), Lab(50.2, 0, 0), Lab(49.8, 0, 0)]
    spread = repeatability(steady)
    assert spread is not None
    near = [Lab(one.l_star + 1.9 * spread, 0, 0) for one in steady]
    far = [Lab(one.l_star + 2.2 * spread, 0, 0) for one in steady]

    assert difference(steady, near).words == "not shown"
    assert difference(steady, far).words == "no change"
    assert difference(steady, far, stated=[2 * spread]).words == "not shown"


@pytest.mark.parametrize(
    ("step", "words"),
    [(0.9, "no change"), (1.9, "look again"), (4.0, "changed"), (9.0, "marked change")],
)
def test_bands_are_named_in_words(step: float, words: str) -> None:
    """At L* 50 and no chroma a step in lightness is the difference itself, nearly."""
    steady = [Lab(50.0, 0, 0), Lab(50.02, 0, 0)]
    assert difference(steady, [Lab(one.l_star + step, 0, 0) for one in steady]).words == words


def test_one_reading_alone_says_nothing_of_repeatability() -> None:
    assert repeatability([Lab(50, 0, 0)]) is None
    found = difference([Lab(50, 0, 0)], [Lab(60, 0, 0)])
    assert (found.shown, found.words) == (None, "can’t be said: no repeatability")
