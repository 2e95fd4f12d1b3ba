"""Find: exact and near numbers, words, places, exhibitions, and printed short codes."""

from typing import Any

import pytest

from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.find import code_hit, coded_tables, find, looks_like_code, near_codes
from lifecycle.queries.rights import person_facts
from lifecycle.records.base import CODE_ALPHABET
from lifecycle.records.models import OtherNumber
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def registrar() -> Any:
    make_museum()
    return person_facts(make_person(Role.REGISTRAR), AT)


def numbers(results: Any) -> list[str]:
    return [one.number for one in results.objects]


def test_an_exact_number_comes_first(registrar: Any) -> None:
    for number in ("HCM.1922.7.10", "HCM.1922.7.1", "HCM.1922.7.11"):
        make_object(object_number=number)
    assert numbers(find(registrar, "hcm.1922.7.1"))[0] == "HCM.1922.7.1"
    assert len(numbers(find(registrar, "1922.7"))) == 3


def test_title_maker_and_other_numbers_are_searched(registrar: Any) -> None:
    stored = make_object(object_number="HCM.1", title="Weather diary", maker="Josiah Pell")
    OtherNumber(museum_object=stored, kind="old", number="MS 41").keep(**kept_by())
    for asked in ("diary", "pell", "MS 41", "weather pell"):
        assert numbers(find(registrar, asked)) == ["HCM.1"], asked
    assert numbers(find(registrar, "diary kestrel")) == []


def test_a_mistyped_number_is_offered_the_nearest(registrar: Any) -> None:
    make_object(object_number="HCM.1908.12")
    make_object(object_number="L2026.1")
    results = find(registrar, "HCM-19O8-l2")
    assert numbers(results) == []
    assert results.nearest[0].number == "HCM.1908.12"


def test_exhibitions_showings_and_places_are_found(registrar: Any) -> None:
    exhibition = make_exhibition(short="RBN26")
    showing = make_showing(exhibition=exhibition, request_no="RQ-0042")
    place = make_place("North Gallery", PlaceKind.ROOM)
    assert find(registrar, "rain by noon").exhibitions[0].uid == exhibition.uid
    assert find(registrar, "rbn26").exhibitions[0].uid == exhibition.uid
    assert find(registrar, "rq-0042").showings[0].uid == showing.uid
    assert find(registrar, "north").places[0].uid == place.uid


def test_nobody_finds_what_they_may_not_see() -> None:
    make_museum()
    make_object(object_number="HCM.1")
    make_place("Store A", PlaceKind.STORE)
    attendant = person_facts(make_person(Role.ATTENDANT), AT)
    assert find(attendant, "HCM.1").all == ()
    assert list(find(attendant, "HCM.2").nearest) == []
    assert find(attendant, "store").places == []


def test_every_coded_record_is_found_by_its_printed_code() -> None:
    make_museum()
    rows: list[Any] = [make_object(), make_place(), make_exhibition(), make_showing()]
    for row in rows:
        hit = code_hit(row.code)
        assert hit is not None
        assert (hit.table, hit.uid) == (row._meta.model_name, row.uid)
    names = {model._meta.model_name for model in coded_tables()}
    assert {"museumobject", "place", "showing", "print", "conditionreport", "housing"} <= names


def test_a_code_typed_small_with_blanks_and_hyphens_is_the_same_code() -> None:
    place = make_place()
    code = place.code
    for typed in (code.lower(), f"{code[:3]} {code[3:]}", f"{code[:4]}-{code[4:]}"):
        hit = code_hit(typed)
        assert hit is not None
        assert hit.uid == place.uid


def test_letters_that_are_never_printed_are_read_as_their_lookalikes() -> None:
    place = make_place()
    # Codes come from the uid; this test needs one that holds both lookalikes.
    place.code = "QJ2ABCD"
    place.save(update_fields=["code"])
    for typed in ("OJ2ABCD", "0J2ABCD", "QI2ABCD", "Q12abcd", "ql2abcd"):
        hit = code_hit(typed)
        assert hit is not None
        assert hit.uid == place.uid


def test_a_code_read_wrong_in_one_letter_is_offered(registrar: Any) -> None:
    stored = make_object(object_number="HCM.1")
    stored.code = "8ABCDEF"
    stored.save(update_fields=["code"])
    assert "8ABCDEF" in near_codes("BABCDEF")
    assert [one.number for one in find(registrar, "BABCDEF").nearest] == ["HCM.1"]


@pytest.mark.parametrize("text", ["", "ABC", "ABCDEFGH", "ABC!EFG", "HCM.190"])
def test_other_texts_are_no_codes(text: str) -> None:
    assert not looks_like_code(text) or all(letter in CODE_ALPHABET for letter in text)
    assert code_hit(text) is None


@pytest.mark.parametrize("many", [1, 3])
def test_finding_asks_the_same_number_of_questions(
    many: int, registrar: Any, django_assert_num_queries: Any
) -> None:
    exhibition = make_exhibition(title="Kites")
    for _ in range(many):
        stored = make_object(title="Kites of the county")
        make_showing(museum_object=stored, exhibition=exhibition)
        make_place(f"Kites {stored.pk}")
    with django_assert_num_queries(4):
        find(registrar, "kites")
