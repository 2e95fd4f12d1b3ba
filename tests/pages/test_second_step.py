"""The second step: set up by oneself, asked by house rule, with days of grace; throttled tries."""

import time
from datetime import timedelta
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lifecycle.process.stages import Role
from lifecycle.records.models import Account, HouseRules, Person
from tests.builders.core import kept_by, make_class, make_museum, make_person
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

PASSWORD = "long enough 42"


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()
    cache.clear()


def rule(**values: Any) -> None:
    make_class()
    version = HouseRules.objects.get()
    values.setdefault("second_factor_grace_days", 7)
    for name, value in values.items():
        setattr(version, name, value)
    version.keep(**kept_by())


def long_here(*roles: Role) -> Person:
    """Somebody whose days of grace are over."""
    person = make_person(*roles)
    assert person.account is not None
    joined = timezone.now() - timedelta(days=60)
    Account.objects.filter(pk=person.account.pk).update(date_joined=joined)
    person.account.refresh_from_db()
    return person


def by_password(person: Person, password: str = PASSWORD, **where: Any) -> tuple[Client, Any]:
    client = Client(**where)
    assert person.account is not None
    typed = {"login": person.account.username, "password": password, "next": "/me/"}
    return client, client.post(reverse("account_login"), typed)


def code(secret: str, ahead: int = 0) -> str:
    return str(format_hotp_value(hotp_value(secret, int(time.time()) // 30 + ahead)))


def set_up(client: Client) -> str:
    """Set the second step up as a person does, password again first; return its secret."""
    asked = client.get(reverse("mfa_activate_totp"))
    assert asked["Location"].startswith(reverse("account_reauthenticate"))
    client.post(asked["Location"], {"password": PASSWORD})
    page = client.get(reverse("mfa_activate_totp"))
    assert page.status_code == 200, page.get("Location")
    secret = str(page.context["form"].secret)
    done = client.post(reverse("mfa_activate_totp"), {"code": code(secret)})
    assert done["Location"] == reverse("mfa_view_recovery_codes")
    return secret


def test_set_up_by_oneself_it_is_asked_at_the_next_sign_in() -> None:
    person = make_person(Role.CURATOR)
    client, _ = by_password(person)
    secret = set_up(client)
    spare = client.get(reverse("mfa_view_recovery_codes")).context["unused_codes"]
    again, answer = by_password(person)
    assert answer["Location"].startswith(reverse("mfa_authenticate"))
    assert again.get("/me/").status_code == 302
    again.post(reverse("mfa_authenticate"), {"code": code(secret, ahead=1)})
    assert again.get("/me/").status_code == 200
    with_spare, _ = by_password(person)
    with_spare.post(reverse("mfa_authenticate"), {"code": spare[0]})
    assert with_spare.get("/me/").status_code == 200
    twice, _ = by_password(person)
    twice.post(reverse("mfa_authenticate"), {"code": spare[0]})
    assert twice.get("/me/").status_code == 302


def test_our_own_words_stand_on_every_page_of_it() -> None:
    client, _ = by_password(make_person(Role.CURATOR))
    assert "Set up the second step" in client.get(reverse("mfa_index")).content.decode()
    set_up(client)
    for name in ("mfa_index", "mfa_view_recovery_codes", "mfa_generate_recovery_codes"):
        text = client.get(reverse(name)).content.decode()
        assert "showrest/tokens" in text
        assert "uthenticat" not in text.split("<main")[1].split("</main")[0], name
    off = client.get(reverse("mfa_deactivate_totp")).content.decode()
    assert "your password alone opens the door" in off


@pytest.mark.parametrize(
    ("values", "role", "led"),
    [
        ({"second_factor": "not_asked"}, Role.CURATOR, False),
        ({"second_factor": "everyone"}, Role.CURATOR, True),
        ({"second_factor": "named_roles", "second_factor_roles": ["steward"]}, Role.CURATOR, False),
        ({"second_factor": "named_roles", "second_factor_roles": ["steward"]}, Role.STEWARD, True),
    ],
)
def test_the_house_rule_leads_whom_it_names_to_the_set_up(
    values: dict[str, Any], role: Role, led: bool
) -> None:
    rule(**values)
    client = visitor(person=long_here(role))
    answer = client.get("/me/")
    assert (answer.get("Location") == reverse("mfa_activate_totp")) is led
    assert (answer.status_code == 200) is not led


def test_a_rule_to_come_asks_for_nothing_yet() -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    rule(second_factor="everyone", second_factor_grace_days=0, valid_from=tomorrow)
    assert visitor(person=long_here(Role.CURATOR)).get("/me/").status_code == 200


def test_in_the_days_of_grace_pages_open_and_say_until_when() -> None:
    rule(second_factor="everyone", second_factor_grace_days=7)
    client = visitor(person=make_person(Role.CURATOR))
    text = client.get("/me/").content.decode()
    assert "Set it up</a> by" in text
    rule(second_factor="not_asked")
    assert "Set it up</a> by" not in client.get("/me/").content.decode()


def test_grace_runs_from_the_younger_of_rule_and_account() -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    rule(second_factor="everyone", second_factor_grace_days=7, valid_from=yesterday)
    assert visitor(person=long_here(Role.CURATOR)).get("/me/").status_code == 200
    rule(valid_from=yesterday - timedelta(days=7))
    assert visitor(person=long_here(Role.CURATOR)).get("/me/").status_code == 302
    assert visitor(person=make_person(Role.CURATOR)).get("/me/").status_code == 200


def test_what_is_sent_after_the_grace_is_refused_in_words_and_changes_nothing() -> None:
    rule(second_factor="everyone")
    person = long_here(Role.CURATOR)
    answer = visitor(person=person).post("/me/", {"letter_hour": "5"})
    assert answer.status_code == 403
    assert "send the form again" in answer.content.decode()
    person.refresh_from_db()
    assert person.letter_hour == 7


def test_every_table_is_closed_too_until_the_step_is_there() -> None:
    rule(second_factor="everyone")
    client = visitor(person=long_here(Role.STEWARD))
    assert client.get(reverse("admin:index")).status_code != 200
    rule(second_factor="not_asked")
    assert client.get(reverse("admin:index")).status_code == 200


def test_once_set_up_the_doors_open() -> None:
    rule(second_factor="everyone")
    client, _ = by_password(long_here(Role.CURATOR))
    assert client.get("/me/")["Location"] == reverse("mfa_activate_totp")
    set_up(client)
    assert client.get("/me/").status_code == 200
    assert Authenticator.objects.filter(type="totp").count() == 1


class TestThrottle:
    def test_the_sixth_wrong_try_is_refused_and_so_is_the_right_password_then(self) -> None:
        person = make_person(Role.CURATOR)
        for number in range(5):
            _, answer = by_password(person, "wrong", REMOTE_ADDR=f"10.0.0.{number}")
            assert "do not open an account" in answer.content.decode()
        client, answer = by_password(person, REMOTE_ADDR="10.0.1.1")
        assert "Too many wrong tries" in answer.content.decode()
        assert client.get("/me/").status_code == 302

    def test_the_right_person_is_not_locked_out_for_ever(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        person = make_person(Role.CURATOR)
        for _ in range(6):
            by_password(person, "wrong")
        later = time.time() + 15 * 60 + 1
        monkeypatch.setattr("allauth.core.internal.ratelimit.time.time", lambda: later)
        client, answer = by_password(person)
        assert answer["Location"] == "/me/"
        assert client.get("/me/").status_code == 200

    def test_a_throttled_colleague_leaves_the_others_alone(self) -> None:
        person, other = make_person(Role.CURATOR), make_person(Role.CURATOR)
        for _ in range(6):
            by_password(person, "wrong")
        _, answer = by_password(other)
        assert answer["Location"] == "/me/"

    def test_a_steward_can_help_at_once(self) -> None:
        person = make_person(Role.CURATOR)
        for _ in range(6):
            by_password(person, "wrong")
        answer = visitor(Role.STEWARD).post(
            reverse("sign-in-link", args=[person.uid]), {"how": "person", "why": "Locked out."}
        )
        assert "The link" in answer.content.decode()
