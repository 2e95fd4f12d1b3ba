"""File names in a package: safe on every system, never shared by two records."""

import re
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.queries.package.names import LONGEST, described, folded, safe_name

ONE = UUID("12345678-1234-5678-1234-567812345678")
SAFE = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9_])?")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("HCM.1908.12", "HCM.1908.12"),
        ("CR-0001-V2", "CR-0001-V2"),
        ("hcm.1", "hcm.1-123456781234"),
        ("L/2019:7", "L-2019-7-123456781234"),
        ("Łódź größe", "Lodz-grosse-123456781234"),
        ("雨", "record-123456781234"),
        ("CON", "record-123456781234"),
        ("NUL.1", "record-123456781234"),
        ("ends.", "ends-123456781234"),
        ("..", "record-123456781234"),
        ("A" * 300, f"{'A' * (LONGEST - 13)}-123456781234"),
    ],
)
def test_a_name_is_kept_if_it_is_safe_and_marked_if_it_had_to_change(text: str, name: str) -> None:
    assert safe_name(text, ONE) == name


@given(st.text(max_size=200))
def test_every_name_is_safe_everywhere(text: str) -> None:
    for name in (safe_name(text, ONE), described([text, "face"], ONE, "jpg")):
        assert SAFE.fullmatch(name)
        assert len(name) <= LONGEST + 4
        assert not re.match(r"(?i)(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)", name)


@given(st.text(max_size=90), st.text(max_size=90))
def test_two_records_never_share_a_file_on_a_system_that_folds_capitals(
    one: str, other: str
) -> None:
    if one != other:
        assert safe_name(one, uuid4()).lower() != safe_name(other, uuid4()).lower()


def test_names_that_only_folding_makes_equal_stay_apart() -> None:
    assert folded("Plym é") == folded("Plym e")
    assert safe_name("Plym é", uuid4()) != safe_name("Plym e", uuid4())
