"""One-time links: for new accounts and for those locked out, by mail or in person."""

import re
from datetime import timedelta
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lifecycle.jobs.link_mail import all_sent
from lifecycle.process.stages import Role
from lifecycle.records.models import Account, Letter, Message, Person
from tests.builders.core import kept_by, make_museum, make_person
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

NEW = "the rain falls by noon"
LINK = re.compile(r"http://[^/\s<]+(/account/password/reset/key/[^\s<]+)")


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()
    cache.clear()


def link_in(text: str) -> str:
    found = LINK.search(text)
    assert found is not None, text[-2000:]
    return found[1]


def issued(person: Person, **typed: Any) -> str:
    answer = visitor(Role.STEWARD).post(
        reverse("sign-in-link", args=[person.uid]), {"how": "person", "why": "Lost it."} | typed
    )
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    return link_in(answer.content.decode())


def choose(link: str, password: str = NEW) -> Any:
    """Follow the link as a stranger would, and choose a password."""
    client = Client()
    page = client.get(link, follow=True)
    if not page.redirect_chain:
        return page
    address = page.redirect_chain[-1][0]
    return client.post(address, {"password1": password, "password2": password}, follow=True)


def account_of(person: Person) -> Account:
    person.refresh_from_db()
    assert person.account is not None
    return person.account


def test_a_new_account_gets_a_link_and_its_owner_chooses_the_password() -> None:
    someone = make_person(Role.CURATOR, account=False)
    answer = visitor(Role.STEWARD).post(
        reverse("account-open", args=[someone.uid]), {"username": "gil", "how": "person"}
    )
    assert not account_of(someone).has_usable_password()
    done = choose(link_in(answer.content.decode()))
    assert done.status_code == 200
    assert done.wsgi_request.path == reverse("today")
    assert account_of(someone).check_password(NEW)
    reasons = list(someone.history.values_list("history_change_reason", flat=True))
    assert reasons[:1] == ["Password chosen by the person."] or NEW not in str(reasons)
    assert "Password chosen by the person." in reasons


def test_a_link_opens_once() -> None:
    someone = make_person(Role.CURATOR)
    link = issued(someone)
    choose(link)
    assert "opens nothing" in choose(link, "another password 77").content.decode()
    assert account_of(someone).check_password(NEW)


def test_a_newer_link_makes_the_older_one_worthless() -> None:
    someone = make_person(Role.CURATOR)
    older, newer = issued(someone), issued(someone)
    assert "opens nothing" in choose(older).content.decode()
    choose(newer)
    assert account_of(someone).check_password(NEW)


def test_a_link_runs_out(settings: Any) -> None:
    someone = make_person(Role.CURATOR)
    link = issued(someone)
    settings.PASSWORD_RESET_TIMEOUT = -1
    assert "opens nothing" in choose(link).content.decode()
    assert not account_of(someone).has_usable_password()


def test_issuing_ends_the_old_password_and_every_session() -> None:
    someone = make_person(Role.CURATOR)
    open_one = visitor(person=someone)
    assert open_one.get(reverse("me")).status_code == 200
    issued(someone)
    assert open_one.get(reverse("me")).status_code == 302
    assert not account_of(someone).check_password("long enough 42")


def test_a_lost_device_is_taken_off_only_when_asked_and_with_a_reason() -> None:
    someone = make_person(Role.CURATOR)
    Authenticator.objects.create(user=account_of(someone), type="totp", data={"secret": "A"})
    issued(someone)
    assert Authenticator.objects.filter(user=account_of(someone)).exists()
    answer = visitor(Role.STEWARD).post(
        reverse("sign-in-link", args=[someone.uid]), {"how": "person", "drop_second_factor": "on"}
    )
    assert "why" in answer.context["form"].errors
    issued(someone, drop_second_factor="on", why="Telephone in the river.")
    assert not Authenticator.objects.filter(user=account_of(someone)).exists()
    newest = someone.history.order_by("-history_id").first()
    assert "second step taken off: Telephone in the river." in newest.history_change_reason


def test_a_link_goes_by_mail_only_where_there_is_mail_and_an_address(settings: Any) -> None:
    someone = make_person(Role.CURATOR)
    address = reverse("sign-in-link", args=[someone.uid])
    steward = visitor(Role.STEWARD)
    refused = steward.post(address, {"how": "mail", "why": "Lost."})
    assert "how" in refused.context["form"].errors
    settings.MAIL_READY = True
    steward.post(address, {"how": "mail", "why": "Lost."})
    all_sent()
    assert mail.outbox[0].to == [someone.email]
    choose(link_in(str(mail.outbox[0].body)))
    assert account_of(someone).check_password(NEW)


class TestForgotten:
    @pytest.fixture(autouse=True)
    def has_mail(self, settings: Any) -> None:
        settings.MAIL_READY = True

    def ask(self, address: str) -> Any:
        answer = Client().post(reverse("account_reset_password"), {"email": address}, follow=True)
        all_sent()
        return answer

    def test_the_link_comes_to_the_address_on_record(self) -> None:
        someone = make_person(Role.CURATOR)
        self.ask(someone.email.upper())
        assert mail.outbox[0].to == [someone.email]
        choose(link_in(str(mail.outbox[0].body)))
        assert account_of(someone).check_password(NEW)

    def test_nobody_learns_whether_an_address_is_known(self) -> None:
        known = self.ask(make_person(Role.CURATOR).email)
        unknown = self.ask("nobody@elsewhere.example")
        assert len(mail.outbox) == 1
        plain = [
            re.sub(r"[A-Za-z0-9]{64}", "", answer.content.decode()) for answer in (known, unknown)
        ]
        assert plain[0] == plain[1]
        assert known.redirect_chain == unknown.redirect_chain

    def test_a_closed_account_gets_no_link(self) -> None:
        gone = make_person(Role.CURATOR, ends_on=timezone.localdate() - timedelta(days=2))
        closed = make_person(Role.CURATOR)
        Account.objects.filter(pk=account_of(closed).pk).update(is_active=False)
        for person in (gone, closed):
            self.ask(person.email)
        assert mail.outbox == []

    def test_no_row_keeps_a_link(self) -> None:
        self.ask(make_person(Role.CURATOR).email)
        assert len(mail.outbox) == 1
        assert not Message.objects.exists()
        assert not Letter.objects.exists()

    def test_a_house_without_mail_says_whom_to_ask(self, settings: Any) -> None:
        settings.MAIL_READY = False
        page = Client().get(reverse("account_reset_password")).content.decode()
        assert "Ask the records steward in person" in page
        self.ask(make_person(Role.CURATOR).email)
        assert mail.outbox == []


def test_one_changes_ones_own_password_with_the_old_one() -> None:
    someone = make_person(Role.CURATOR)
    client = visitor(person=someone)
    address = reverse("account_change_password")
    client.post(address, {"oldpassword": "wrong", "password1": NEW, "password2": NEW})
    assert account_of(someone).check_password("long enough 42")
    client.post(address, {"oldpassword": "long enough 42", "password1": NEW, "password2": NEW})
    assert account_of(someone).check_password(NEW)


def test_two_people_with_one_address_each_get_their_own_link(settings: Any) -> None:
    settings.MAIL_READY = True
    first, second = make_person(Role.CURATOR), make_person(Role.REGISTRAR)
    second.email = first.email
    second.keep(**kept_by())
    Client().post(reverse("account_reset_password"), {"email": first.email})
    all_sent()
    names = {account_of(first).username, account_of(second).username}
    assert len(mail.outbox) == 2
    said = " ".join(str(one.body) for one in mail.outbox)
    assert all(name in said for name in names)
