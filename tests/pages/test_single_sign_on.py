"""Single sign-on against a provider on loopback: it opens accounts on record and makes none."""

import copy
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import requests
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import (
    format_hotp_value,
    hotp_value,
    yield_hotp_counters_from_time,
)
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lifecycle.actions.people import name_identity
from lifecycle.actions.proving import faults_of_proof
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import Account, HouseRules, Person
from tests.builders.core import AT, kept_by, make_class, make_museum, make_person
from tests.pages.identity_provider import Provider, running_provider

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def running() -> Iterator[Provider]:
    with running_provider() as provider:
        yield provider


@pytest.fixture
def provider(running: Provider, settings: Any) -> Provider:
    make_museum()
    cache.clear()
    providers = copy.deepcopy(settings.SOCIALACCOUNT_PROVIDERS)
    providers["openid_connect"]["APPS"][0]["settings"]["server_url"] = running.address
    settings.SOCIALACCOUNT_PROVIDERS = providers
    running.who, running.refuses = {}, False
    return running


def come(client: Client, wanted: str = "/me/", **more: str) -> Any:
    """Walk the whole way: our link, the provider's page, back to us."""
    link = reverse("openid_connect_login", args=["house"])
    away = client.get(link, {"next": wanted, **more})
    assert away.status_code == 302, away.content.decode()[-800:]
    there = requests.get(away["Location"], allow_redirects=False, timeout=10)
    back = there.headers["Location"].replace("http://testserver", "")
    return client.get(back)


def rules(**values: Any) -> None:
    make_class()
    version = HouseRules.objects.get()
    for name, value in values.items():
        setattr(version, name, value)
    version.keep(**kept_by())


def without_password(person: Person) -> Account:
    assert person.account is not None
    person.account.set_unusable_password()
    person.account.save()
    return person.account


def test_a_proven_address_on_record_opens_its_account_and_ties_the_identity(
    provider: Provider,
) -> None:
    someone = make_person(Role.CURATOR)
    account = without_password(someone)
    provider.who = {"sub": "staff-17", "email": someone.email.upper(), "email_verified": True}
    client = Client()
    assert come(client)["Location"] == "/me/"
    assert client.get("/me/").context["request"].person == someone
    account.refresh_from_db()
    assert account.identity == "staff-17"
    reasons = someone.history.values_list("history_change_reason", flat=True)
    assert any("single sign-on" in reason for reason in reasons)
    # From now on the identity counts, whatever address the provider has.
    provider.who = {"sub": "staff-17", "email": "new@elsewhere.example"}
    assert come(Client())["Location"] == "/me/"


def test_the_way_to_the_provider_is_guarded_by_state_and_pkce(provider: Provider) -> None:
    someone = make_person(Role.CURATOR)
    provider.who = {"sub": "staff-1", "email": someone.email, "email_verified": True}
    come(Client())
    asked = provider.asked[-1]
    assert asked["code_challenge_method"] == "S256"
    assert asked["state"]
    forged = reverse("openid_connect_callback", args=["house"])
    assert Client().get(forged, {"code": "x", "state": "forged"}).status_code == 503


@pytest.mark.parametrize(
    "who",
    [
        {"sub": "stranger", "email": "stranger@elsewhere.example", "email_verified": True},
        {"sub": "stranger", "email": "ON RECORD"},
        {"sub": "stranger", "email": "ON RECORD", "email_verified": False},
        {"sub": "stranger"},
    ],
)
def test_an_unknown_identity_makes_no_account_and_is_told_whom_to_ask(
    provider: Provider, who: dict[str, Any]
) -> None:
    someone = make_person(Role.CURATOR)
    provider.who = {
        name: someone.email if value == "ON RECORD" else value for name, value in who.items()
    }
    before = Account.objects.count()
    client = Client()
    answer = come(client)
    text = answer.content.decode()
    assert answer.status_code == 403
    assert "Ask the records steward" in text
    assert "stranger" in text
    assert Account.objects.count() == before
    assert client.get("/me/").status_code == 302


def test_an_address_of_two_people_proves_neither(provider: Provider) -> None:
    first, second = make_person(Role.CURATOR), make_person(Role.REGISTRAR)
    second.email = first.email
    second.keep(**kept_by())
    provider.who = {"sub": "staff-2", "email": first.email, "email_verified": True}
    assert come(Client()).status_code == 403


def test_the_steward_ties_an_identity_by_hand_and_once_only(provider: Provider) -> None:
    steward, someone, other = make_person(Role.STEWARD), make_person(Role.CURATOR), make_person()
    acting: dict[str, Any] = {"by": steward, "role": Role.STEWARD, "at": AT}
    name_identity(**acting, person=someone, identity="staff-3", why="From the staff list.")
    with pytest.raises(Refused, match="tied to this identity already"):
        name_identity(**acting, person=other, identity="staff-3", why="A slip.")
    provider.who = {"sub": "staff-3"}
    assert come(Client())["Location"] == "/me/"


def test_a_closed_or_ended_account_is_not_opened_from_outside(provider: Provider) -> None:
    someone = make_person(Role.CURATOR, ends_on=timezone.localdate() - timedelta(days=1))
    provider.who = {"sub": "staff-4", "email": someone.email, "email_verified": True}
    assert come(Client()).status_code == 403
    closed = make_person(Role.CURATOR)
    assert closed.account is not None
    Account.objects.filter(pk=closed.account.pk).update(is_active=False, identity="staff-5")
    provider.who = {"sub": "staff-5"}
    client = Client()
    come(client)
    assert client.get("/me/").status_code == 302


def test_an_identity_is_never_added_to_somebody_elses_session(provider: Provider) -> None:
    someone, other = make_person(Role.CURATOR), make_person(Role.REGISTRAR)
    provider.who = {"sub": "staff-6", "email": someone.email, "email_verified": True}
    client = Client()
    assert other.account is not None
    client.force_login(other.account)
    come(client, process="connect")
    other.account.refresh_from_db()
    assert other.account.identity == ""
    assert client.get("/me/").context["request"].person == someone


def test_broken_off_there_is_said_plainly_here(provider: Provider) -> None:
    provider.refuses = True
    answer = come(Client())
    assert answer.status_code == 503
    assert "You were not signed in" in answer.content.decode()


def test_a_provider_that_does_not_answer_is_no_error_page(settings: Any) -> None:
    make_museum()
    answer = Client().get(reverse("openid_connect_login", args=["house"]))
    assert answer.status_code == 503
    assert "can still sign in by password" in answer.content.decode()


def test_the_sign_in_page_offers_the_provider_first(provider: Provider) -> None:
    text = Client().get(reverse("account_login")).content.decode()
    assert "Go to Hollinshire staff sign-in" in text
    assert reverse("openid_connect_login", args=["house"]) in text


def test_who_has_no_password_gets_one_from_the_steward_alone(provider: Provider) -> None:
    someone = make_person(Role.CURATOR)
    account = without_password(someone)
    provider.who = {"sub": "staff-8", "email": someone.email, "email_verified": True}
    client = Client()
    come(client)
    answer = client.get(reverse("account_change_password"), follow=True)
    assert "You sign in without a password" in answer.content.decode()
    typed = {"password1": "the rain falls by noon", "password2": "the rain falls by noon"}
    assert client.post(reverse("account_set_password"), typed).status_code == 405
    account.refresh_from_db()
    assert not account.has_usable_password()


class TestAlone:
    """The house rule that closes the door of passwords."""

    def by_password(self, person: Person) -> bool:
        client = Client()
        assert person.account is not None
        typed = {"login": person.account.username, "password": "long enough 42"}
        client.post(reverse("account_login"), typed)
        return client.get("/me/").status_code == 200

    def test_passwords_open_the_stewards_door_alone(self, provider: Provider) -> None:
        rules(single_sign_on_only=True)
        curator, steward = make_person(Role.CURATOR), make_person(Role.STEWARD)
        assert not self.by_password(curator)
        assert self.by_password(steward)
        provider.who = {"sub": "staff-7", "email": curator.email, "email_verified": True}
        assert come(Client())["Location"] == "/me/"

    def test_without_a_provider_the_rule_locks_nobody_out(
        self, provider: Provider, settings: Any
    ) -> None:
        rules(single_sign_on_only=True)
        settings.SSO = {}
        assert self.by_password(make_person(Role.CURATOR))

    def test_the_answer_does_not_tell_a_right_password(self, provider: Provider) -> None:
        rules(single_sign_on_only=True)
        someone = make_person(Role.CURATOR)
        assert someone.account is not None
        said = []
        for password in ("long enough 42", "not this one at all"):
            typed = {"login": someone.account.username, "password": password}
            answer = Client().post(reverse("account_login"), typed)
            said.append(answer.context["form"].errors.as_text())
        assert said[0] == said[1]


class TestSigning:
    """Who has no password signs with the code of the second step."""

    def code(self, account: Account) -> str:
        step = Authenticator.objects.get(user=account)
        counter = list(yield_hotp_counters_from_time())[1]
        return str(format_hotp_value(hotp_value(step.data["secret"], counter)))

    def test_the_code_of_the_second_step_stands_in_for_the_password(self) -> None:
        account = without_password(make_person(Role.CONSERVATOR, name="Piers Hallam"))
        said = [reason.text for reason in faults_of_proof(account, "123456")]
        assert "Piers Hallam signs in without a password" in said[0]
        Authenticator.objects.create(user=account, type="totp", data={"secret": "JBSWY3DPEHPK3PXP"})
        assert list(faults_of_proof(account, self.code(account))) == []
        spaced = f"{self.code(account)[:3]} {self.code(account)[3:]}"
        assert list(faults_of_proof(account, spaced)) == []
        wrong = "000000" if self.code(account) != "000000" else "111111"
        theirs = "the code of the second step of Piers Hallam"
        assert f"not {theirs}" in next(faults_of_proof(account, wrong)).text
        assert f"Type {theirs}" in next(faults_of_proof(account, "")).text

    def test_who_has_a_password_signs_with_it_and_not_with_a_code(self) -> None:
        account = make_person(Role.CONSERVATOR).account
        assert account is not None
        Authenticator.objects.create(user=account, type="totp", data={"secret": "JBSWY3DPEHPK3PXP"})
        assert list(faults_of_proof(account, "long enough 42")) == []
        assert "not the password" in next(faults_of_proof(account, self.code(account))).text

    def test_guessing_at_a_signature_comes_to_an_end_and_begins_anew(self) -> None:
        account = make_person(Role.CONSERVATOR, name="Piers Hallam").account
        assert account is not None
        cache.clear()
        for _ in range(20):
            next(faults_of_proof(account, "a guess"))
        stopped = next(faults_of_proof(account, "long enough 42")).text
        assert "Too many wrong tries to sign as Piers Hallam" in stopped
        cache.clear()  # what the cache itself does after a quarter of an hour
        assert list(faults_of_proof(account, "long enough 42")) == []
