"""The search box lands on the record, or shows what is near."""

import uuid

import pytest
from django.urls import reverse

from lifecycle.pages.find import PAGE_OF, PART_OF_SHOWING
from lifecycle.process.stages import Role
from lifecycle.queries.find import coded_tables
from tests.builders.core import make_museum, make_object, make_person, make_place
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


def test_a_typed_short_code_lands_on_its_place_or_object() -> None:
    client = visitor(Role.REGISTRAR)
    for row, name in ((make_object(), "object"), (make_place(), "place")):
        answer = client.get(reverse("find"), {"q": f" {row.code.lower()} "})
        assert answer.status_code == 302
        assert answer["Location"] == reverse(name, args=[row.uid])


#: Their tickets and labels carry the code of the print, which leads to the record.
FOUND_BY_ITS_PRINT = {"facsimile", "imagingjob", "mount"}


def test_every_coded_record_has_a_page_where_its_code_leads() -> None:
    names = {str(model._meta.model_name) for model in coded_tables()}
    assert names == (set(PAGE_OF) | set(PART_OF_SHOWING)) - FOUND_BY_ITS_PRINT
    for page in PAGE_OF.values():
        assert reverse(page, args=[uuid.uuid4()])


def test_a_code_is_no_way_round_the_rights() -> None:
    stored = make_object()
    client = visitor(person=make_person(Role.ATTENDANT))
    answer = client.get(reverse("find"), {"q": stored.code}, follow=True)
    assert answer.status_code == 403


def test_one_hit_opens_at_once_and_several_are_listed() -> None:
    client = visitor(Role.CURATOR)
    one = make_object(object_number="HCM.1922.7.1")
    make_object(object_number="HCM.1922.7.11")
    exact = client.get(reverse("find"), {"q": "HCM.1922.7.1"})
    assert exact["Location"] == reverse("object", args=[one.uid])
    several = client.get(reverse("find"), {"q": "1922.7"})
    assert several.status_code == 200
    assert several.content.decode().count("HCM.1922.7.1") >= 2


def test_nothing_found_says_what_to_do() -> None:
    text = visitor(Role.CURATOR).get(reverse("find"), {"q": "zeppelin"}).content.decode()
    assert "a short code has seven" in text


@pytest.mark.parametrize("text", ["", " ", "'; drop table", "%", "_" * 500, "\u202e", "İ"])
def test_odd_texts_are_answered(text: str) -> None:
    assert visitor(Role.CURATOR).get(reverse("find"), {"q": text}).status_code == 200
