"""The admin is for reading: every page opens for the steward, and none of them saves."""

import re

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.urls import reverse

from lifecycle.pages.reading_room import room
from lifecycle.process.stages import Role
from lifecycle.records.models import MuseumObject
from tests.builders.core import (
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

TABLES: list[type[models.Model]] = list(apps.get_app_config("records").get_models())


def names_of(model: type[models.Model]) -> str:
    return f"admin:records_{model._meta.model_name}"


@pytest.fixture
def steward() -> Client:
    make_museum()
    make_face(make_object())
    make_showing(exhibition=make_exhibition())
    return visitor(Role.STEWARD)


def saves(text: str) -> list[str]:
    """Every form on a page that would write; the library draws empty ones without a button."""
    forms = re.findall(r"<form[^>]*method=.post.[^>]*>.*?</form>", text, re.S)
    button = r"<(?:input|button)[^>]*type=.submit"
    return [form for form in forms if re.search(button, form) and "logout-form" not in form]


def test_every_table_and_every_history_stands_in_the_room() -> None:
    assert set(TABLES) <= set(room._registry)
    histories = [getattr(getattr(model, "history", None), "model", None) for model in TABLES]
    found = [history for history in histories if history is not None]
    assert len(found) > 50
    assert set(found) <= set(room._registry)


@pytest.mark.crawls
def test_every_page_opens_and_none_has_a_form_that_saves(steward: Client) -> None:
    opened = 0
    for model in TABLES:
        pages = [reverse(f"{names_of(model)}_changelist")]
        first = model._base_manager.order_by("pk").first()
        if first is not None:
            pages.append(reverse(f"{names_of(model)}_change", args=[first.pk]))
            pages.append(reverse(f"{names_of(model)}_history", args=[first.pk]))
        for address in pages:
            answer = steward.get(address, follow=True)
            assert answer.status_code == 200, address
            assert saves(answer.content.decode()) == [], address
            opened += 1
        assert steward.get(reverse(f"{names_of(model)}_add")).status_code == 403
    assert opened > len(TABLES)


def test_the_history_of_a_record_shows_its_own_rows(steward: Client) -> None:
    stored = MuseumObject.objects.order_by("pk").first()
    assert stored is not None
    address = reverse("admin:records_museumobject_history", args=[stored.pk])
    text = steward.get(address, follow=True).content.decode()
    assert "1 historical museum object" in text


def test_nothing_that_is_sent_is_taken(steward: Client) -> None:
    stored = MuseumObject.objects.order_by("pk").first()
    assert stored is not None
    pages = [
        reverse("admin:index"),
        reverse("admin:records_museumobject_changelist"),
        reverse("admin:records_museumobject_add"),
        reverse("admin:records_museumobject_change", args=[stored.pk]),
        reverse("admin:records_museumobject_delete", args=[stored.pk]),
        reverse("admin:password_change"),
    ]
    for address in pages:
        for send in (steward.post, steward.put, steward.delete, steward.patch):
            assert send(address, {"title": "Taken", "post": "yes"}).status_code == 403, address
    stored.refresh_from_db()
    assert stored.title != "Taken"


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.STEWARD])
def test_nobody_else_reads_the_tables(role: Role) -> None:
    make_museum()
    person = make_person(*([] if role in (Role.COURIER, Role.LENDER) else [role]))
    client = visitor(person=person)
    for name in ("admin:index", "admin:records_person_changelist"):
        answer = client.get(reverse(name), follow=True)
        assert answer.status_code == 403


def test_a_mark_on_the_account_opens_nothing() -> None:
    make_museum()
    person = make_person(Role.CURATOR)
    assert person.account is not None
    person.account.is_staff = person.account.is_superuser = True
    person.account.save()
    client = visitor(person=person)
    assert client.get(reverse("admin:index"), follow=True).status_code == 403


def test_a_stranger_comes_to_our_own_door() -> None:
    make_museum(is_demo=True)
    answer = Client().get(reverse("admin:index"), follow=True)
    assert answer.redirect_chain[-1][0].startswith(reverse("sign-in"))


def test_a_password_is_not_even_read(steward: Client) -> None:
    person = make_person(Role.CURATOR)
    assert person.account is not None
    page = steward.get(reverse("admin:records_account_change", args=[person.account.pk]))
    text = page.content.decode()
    assert person.account.username in text
    assert person.account.password not in text
