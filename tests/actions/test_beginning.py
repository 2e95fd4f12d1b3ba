"""A museum begins with its name, its words and one steward, or not at all."""

from typing import Any

import pytest
from django.test import Client

from lifecycle.actions.beginning import begin
from lifecycle.actions.refusals import Refused
from lifecycle.records.models import Account, Museum, Person, Word
from tests.builders.core import AT

pytestmark = pytest.mark.django_db

GIVEN: dict[str, Any] = {
    "museum": "Somewhere County Museum",
    "zone": "Europe/London",
    "full_name": "Imogen Thrush",
    "email": "imogen@somewhere.example",
    "username": "imogen",
    "password": "a barometer in rain 7",
    "at": AT,
}


def test_a_museum_begins_with_words_and_a_steward_who_can_sign_in(client: Client) -> None:
    person = begin(**GIVEN)
    museum = Museum.objects.get()
    assert (museum.name, museum.zone, museum.is_demo) == (GIVEN["museum"], GIVEN["zone"], False)
    assert Word.objects.exists()
    assert [post.role for post in person.roles.all()] == ["steward"]
    assert client.login(username="imogen", password=GIVEN["password"])
    assert client.get("/steward/").status_code == 200


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"museum": " "}, "Name the museum."),
        ({"zone": "Atlantis/Harbour"}, "no time zone"),
        ({"email": "nowhere"}, "no mail address"),
        ({"full_name": ""}, "Name the first steward"),
        ({"password": "short"}, "too short"),
        ({"username": ""}, "Choose a name"),
    ],
)
def test_a_bad_beginning_writes_nothing(wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused, match=said):
        begin(**(GIVEN | wrong))
    assert [model.objects.count() for model in (Museum, Person, Account, Word)] == [0, 0, 0, 0]


def test_a_museum_begins_once() -> None:
    begin(**GIVEN)
    with pytest.raises(Refused, match="has its museum already"):
        begin(**(GIVEN | {"username": "other"}))
