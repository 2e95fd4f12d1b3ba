"""How many people and which ways of carrying: upright mercury, heavy things, plain sheets."""

import pytest

from lifecycle.process.carrying import HEAVY_FROM_G, Load, method_ruled_out, people_demanded
from lifecycle.process.words import Hazard, Orientation


def load(*hazards: Hazard, orientation: Orientation = Orientation.ANY, weight: int = 200) -> Load:
    return Load(
        number="HCM.1899.2", hazards=frozenset(hazards), orientation=orientation, weight_g=weight
    )


PLAIN = load()
BAROMETER = load(Hazard.MERCURY_LIQUID, orientation=Orientation.UPRIGHT_ONLY)


def test_one_person_carries_a_plain_sheet_and_every_way_is_open() -> None:
    assert people_demanded([PLAIN]) == (1, ())
    assert method_ruled_out("trolley", [PLAIN]) == ""


@pytest.mark.parametrize(
    ("heavy", "code"),
    [
        (BAROMETER, "mercury"),
        (load(Hazard.MERCURY_LIQUID), "mercury"),
        (load(orientation=Orientation.UPRIGHT_ONLY), "upright"),
        (load(Hazard.HEAVY), "heavy"),
        (load(weight=HEAVY_FROM_G), "heavy"),
    ],
)
def test_two_people_are_demanded_with_the_reason(heavy: Load, code: str) -> None:
    people, needs = people_demanded([PLAIN, heavy])
    assert people == 2
    assert [need.code for need in needs] == [code]


def test_just_under_the_heavy_weight_one_person_is_enough() -> None:
    assert people_demanded([load(weight=HEAVY_FROM_G - 1)])[0] == 1


@pytest.mark.parametrize("method", ["trolley", "tray", "board"])
def test_a_way_that_lays_mercury_flat_is_ruled_out(method: str) -> None:
    assert "HCM.1899.2 travels upright only" in method_ruled_out(method, [PLAIN, BAROMETER])


@pytest.mark.parametrize("method", ["hand", "trolley-upright-rack", "crate", "van"])
def test_a_way_that_keeps_it_upright_is_open(method: str) -> None:
    assert method_ruled_out(method, [BAROMETER]) == ""
