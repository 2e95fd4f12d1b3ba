"""A museum of one's own begins in the browser, for whoever has the code of this start."""

import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from lifecycle.actions.trials import MOST
from lifecycle.pages.beginning import ZoneField
from lifecycle.queries.beginning import code_digest, code_fits, make_code
from lifecycle.records.models import Account, Museum, Person
from tests.builders.core import make_museum

pytestmark = pytest.mark.django_db

LONDON = "Europe/London"
CODE = "ABCD-EFGH-2345"
TYPED = {
    "code": "abcd efgh 2345",
    "museum": "Somewhere County Museum",
    "zone": "europe/london",
    "paper_size": "letter",
    "full_name": "Imogen Thrush",
    "email": "imogen@somewhere.example",
    "username": "imogen",
    "password": "a barometer in rain 7",
    "again": "a barometer in rain 7",
}


@pytest.fixture(autouse=True)
def started(settings: pytest.FixtureRequest) -> None:
    settings.BEGINNING = code_digest(CODE)  # type: ignore[attr-defined]
    cache.clear()


def test_every_address_leads_to_the_beginning_until_there_is_a_museum() -> None:
    client = Client()
    for address in ("/", "/objects/", "/sign-in/", "/account/sign-in/", "/nowhere/", "/admin/"):
        assert client.get(address)["Location"] == reverse("beginning"), address
    assert client.post("/account/sign-in/", {}).status_code == 403
    assert client.get(reverse("health"), {"format": "json"}).status_code in {200, 503}
    look = client.get("/static/showrest/page.css")
    assert look.status_code == 200
    whole = b"".join(look.streaming_content)  # type: ignore[attr-defined]
    assert whole  # read whole, it closes itself and nothing else
    assert client.get(reverse("beginning")).status_code == 200


def test_the_right_code_begins_the_museum_and_signs_its_steward_in() -> None:
    client = Client()
    answer = client.post(reverse("beginning"), TYPED)
    assert answer["Location"] == reverse("today")
    museum = Museum.objects.get()
    assert (museum.name, museum.zone, museum.paper_size) == (
        "Somewhere County Museum",
        "Europe/London",
        "letter",
    )
    text = client.get(reverse("today")).content.decode()
    assert "First steps" in text
    assert "Imogen Thrush" in text


def test_once_begun_the_page_is_gone() -> None:
    make_museum()
    assert Client().get(reverse("beginning")).status_code == 404
    assert Client().post(reverse("beginning"), TYPED).status_code == 404
    assert Client().get("/sign-in/").status_code == 302


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"code": "ABCD-EFGH-2346"}, "code"),
        ({"code": ""}, "code"),
        ({"zone": "Atlantis"}, "zone"),
        ({"museum": "  "}, "museum"),
        ({"paper_size": ""}, "paper_size"),
        ({"password": "12345", "again": "12345"}, "password"),
        ({"again": "a barometer in rain 8"}, "again"),
        ({"username": "a name with blanks"}, "username"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_written(
    wrong: dict[str, str], field: str
) -> None:
    answer = Client().post(reverse("beginning"), TYPED | wrong)
    assert field in answer.context["form"].errors
    assert "a barometer in rain 7" not in answer.content.decode()
    assert [model.objects.count() for model in (Museum, Person, Account)] == [0, 0, 0]


def test_a_start_without_a_code_begins_nothing(settings: pytest.FixtureRequest) -> None:
    settings.BEGINNING = ""  # type: ignore[attr-defined]
    answer = Client().post(reverse("beginning"), TYPED | {"code": ""})
    assert answer.status_code == 200
    assert not code_fits("", "")
    assert not Museum.objects.exists()


def test_guessing_codes_ends_after_a_few_tries() -> None:
    client = Client()
    for _ in range(MOST):
        client.post(reverse("beginning"), TYPED | {"code": "AAAA-AAAA-AAAA"})
    answer = client.post(reverse("beginning"), TYPED)
    assert "Too many wrong codes" in answer.content.decode()
    assert not Museum.objects.exists()


def test_a_zone_half_remembered_is_told_what_it_may_have_meant() -> None:
    for typed, meant in (("Europe/Lodnon", LONDON), ("Lodnon", LONDON)):
        answer = Client().post(reverse("beginning"), TYPED | {"zone": typed})
        assert meant in str(answer.context["form"].errors["zone"])


def test_a_city_that_is_in_one_zone_alone_is_enough() -> None:
    assert ZoneField().clean("london") == LONDON
    with pytest.raises(ValidationError, match="Did you mean"):
        ZoneField().clean("Louisville")  # America/Louisville, America/Kentucky/Louisville


def test_no_two_starts_share_a_code() -> None:
    assert len({make_code() for _ in range(100)}) == 100
    assert code_fits("abcdefgh2345", code_digest(CODE))
    assert not code_fits("ABCD-EFGH-2346", code_digest(CODE))
