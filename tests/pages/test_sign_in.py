"""The door: one click in the demo, real accounts otherwise, nobody without a role today."""

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lifecycle.pages.sign_in import WHAT_THEY_DO
from lifecycle.process.stages import Role
from lifecycle.records.models import Museum, Person
from tests.builders.core import kept_by, make_museum, make_person

pytestmark = pytest.mark.django_db
GUESTS = (Role.COURIER, Role.LENDER)


def demo() -> Museum:
    return make_museum(is_demo=True)


def test_the_demo_offers_one_button_for_each_person_with_their_work() -> None:
    demo()
    for role in Role:
        if role not in GUESTS:
            make_person(role, name=f"Person as {role.label}")
    text = Client().get(reverse("sign-in")).content.decode()
    for role in Role:
        if role not in GUESTS:
            assert f"Person as {role.label}" in text
            assert WHAT_THEY_DO[role] in text


def test_one_post_signs_in_and_goes_where_one_wanted() -> None:
    demo()
    someone, client = make_person(Role.CURATOR), Client()
    wanted = reverse("objects")
    answer = client.post(reverse("sign-in-as", args=[someone.uid]), {"next": wanted})
    assert answer["Location"] == wanted
    assert client.get(wanted).status_code == 200
    client.post(reverse("sign-out"))
    assert client.get(wanted).status_code == 302


@pytest.mark.parametrize("wanted", ["https://elsewhere.example/", "//elsewhere.example", "\\\\x"])
def test_nobody_is_sent_to_another_house(wanted: str) -> None:
    demo()
    someone = make_person(Role.CURATOR)
    answer = Client().post(reverse("sign-in-as", args=[someone.uid]), {"next": wanted})
    assert answer["Location"] == reverse("today")


def test_a_look_at_the_address_signs_nobody_in() -> None:
    demo()
    someone = make_person(Role.CURATOR)
    assert Client().get(reverse("sign-in-as", args=[someone.uid])).status_code == 405


def test_outside_the_demo_there_is_no_such_button() -> None:
    make_museum(is_demo=False)
    someone = make_person(Role.CURATOR)
    door = Client().get(reverse("sign-in"), {"next": "/objects/"})
    assert door["Location"] == f"{reverse('account_login')}?next=%2Fobjects%2F"
    assert Client().post(reverse("sign-in-as", args=[someone.uid])).status_code == 404


def test_forged_ended_and_roleless_people_are_not_found_at_the_demo_door() -> None:
    demo()
    yesterday = timezone.localdate() - timedelta(days=1)
    ended = make_person(Role.CURATOR, ends_on=yesterday)
    roleless = make_person()
    on_paper = make_person(Role.COURIER, account=False)
    for uid in (uuid.uuid4(), ended.uid, roleless.uid, on_paper.uid):
        assert Client().post(reverse("sign-in-as", args=[uid])).status_code == 404


def test_a_real_account_signs_in_with_its_password() -> None:
    make_museum()
    someone = make_person(Role.CURATOR)
    assert someone.account is not None
    client, name = Client(), someone.account.username
    wrong = client.post(reverse("account_login"), {"login": name, "password": "not this one"})
    assert wrong.status_code == 200
    assert "data-errors" in wrong.content.decode()
    right = client.post(
        reverse("account_login"), {"login": name, "password": "long enough 42", "next": "/me/"}
    )
    assert right["Location"] == "/me/"
    assert client.get("/me/").status_code == 200


def test_nobody_makes_their_own_account() -> None:
    make_museum()
    client = Client()
    assert client.get(reverse("account_signup")).status_code == 404
    assert client.post(reverse("account_signup"), {"username": "x"}).status_code == 404


def test_an_account_without_a_role_today_is_told_so_and_signed_out() -> None:
    make_museum()
    person, client = make_person(), Client()
    assert person.account is not None
    client.force_login(person.account)
    answer = client.get(reverse("objects"))
    assert answer.status_code == 403
    assert "opens no door today" in answer.content.decode()
    assert client.get(reverse("objects")).status_code == 302


def test_an_account_that_belongs_to_no_person_is_told_so() -> None:
    make_museum()
    person, client = make_person(Role.CURATOR), Client()
    account, person.account = person.account, None
    person.keep(**kept_by())
    assert account is not None
    client.force_login(account)
    assert client.get(reverse("objects")).status_code == 403
    assert Person.objects.count() == 1


def test_two_step_pages_stand_in_our_frame() -> None:
    make_museum()
    person, client = make_person(Role.CURATOR), Client()
    assert person.account is not None
    client.force_login(person.account)
    text = client.get(reverse("mfa_index")).content.decode()
    assert "showrest/tokens" in text
    assert "Menu:" not in text
