"""Object numbers in the order a person reads them."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from lifecycle.process.duties import Duty, in_order
from lifecycle.process.numbers import reading_order
from lifecycle.process.stages import Role


def test_plate_two_stands_before_plate_ten() -> None:
    asked = ["L2026.1", "HCM.M.88", "HCM.1922.7.10", "HCM.1922.7.2", "hcm.1922.7.1"]
    assert sorted(asked, key=reading_order) == [
        "hcm.1922.7.1",
        "HCM.1922.7.2",
        "HCM.1922.7.10",
        "HCM.M.88",
        "L2026.1",
    ]


@given(st.lists(st.text(max_size=12), max_size=6))
def test_whatever_is_typed_as_a_number_can_be_sorted(numbers: list[str]) -> None:
    assert len(sorted(numbers, key=reading_order)) == len(numbers)


def test_equally_pressing_tasks_stand_in_that_order() -> None:
    ten, two = (
        Duty(key=number, code="", text="", why="", role=Role.CONSERVATOR, object_number=number)
        for number in ("HCM.1922.7.10", "HCM.1922.7.2")
    )
    assert in_order([ten, two], date(2026, 11, 26)) == [two, ten]
