"""Somebody leaves: what is in hand is passed on by name, the account ends, signatures stay."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lifecycle.actions.people import end_account, pass_on, ready_for_link, reopen_account
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.hand_over import HELD, hand_over_list
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Appointment, DeputyTerm, Exhibition, Person, Print
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_museum,
    make_person,
    make_place,
    make_showing,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward() -> Person:
    make_museum()
    return make_person(Role.STEWARD)


def acting(steward: Person) -> dict[str, Any]:
    return {"by": steward, "role": Role.STEWARD, "at": AT}


def appointment(first: Person, second: Person) -> Appointment:
    number = Appointment.objects.count() + 1
    return Appointment(
        appointment_no=f"AP-{number:04d}",
        kind="install",
        showing=make_showing(),
        day=DAY + timedelta(days=3),
        place=make_place(),
        person_1=first,
        person_2=second,
    ).keep(**kept_by())


def keys_of(person: Person) -> list[str]:
    lines = [line for group in hand_over_list(person, AT) for line in group.lines]
    return [line.key for line in lines if line.key]


def test_everything_in_hand_goes_to_the_person_named(steward: Person) -> None:
    leaver, other, heir = (make_person(Role.REGISTRAR) for _ in range(3))
    managed = make_exhibition(manager=leaver)
    managed.curators.add(leaver)
    first, second = appointment(leaver, other), appointment(other, leaver)
    keys = keys_of(leaver)
    assert {key.partition(":")[0] for key in keys} == {
        "manager",
        "curator",
        "first-hand",
        "second-hand",
    }
    done = pass_on(**acting(steward), person=leaver, to=heir, keys=keys, why="Retires.")
    assert done == 4
    managed.refresh_from_db()
    assert managed.manager == heir
    assert list(managed.curators.all()) == [heir]
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.person_1, second.person_2) == (heir, heir)
    said = first.history.order_by("-history_id").first()
    assert said.history_user == steward
    assert leaver.full_name in said.history_change_reason
    assert keys_of(leaver) == []


def test_what_no_record_can_name_another_for_is_listed_with_what_to_do(steward: Person) -> None:
    leaver, curator = make_person(Role.REGISTRAR), make_person(Role.CURATOR)
    DeputyTerm(
        for_person=curator, deputy=leaver, role=Role.CURATOR, from_on=DAY, until_on=DAY
    ).keep(**kept_by())
    Print(
        print_no="PR-0001",
        paper="condition_report",
        record_kind="conditionreport",
        record_uid=uuid.uuid4(),
        record_no="CR-0001",
        record_version=1,
        digest="0" * 64,
        pages=1,
        copy_word="to_sign",
        words={},
        page_size="a4",
        zone="UTC",
        address="x",
        printed_by=leaver,
        printed_role=Role.REGISTRAR,
        printed_at=AT,
        expected_back=True,
        expected_back_by=DAY,
    ).append()
    groups = {group.label: group for group in hand_over_list(leaver, AT)}
    assert set(groups) == {"Deputies", "Papers out", "Roles that nobody else holds"}
    assert "PR-0001" in groups["Papers out"].lines[0].text
    assert groups["Roles that nobody else holds"].lines[0].text == "registrar"
    assert all(group.advice for group in groups.values())
    make_person(Role.REGISTRAR)
    assert "Roles that nobody else holds" not in {
        group.label for group in hand_over_list(leaver, AT)
    }


def test_one_row_that_cannot_be_passed_on_leaves_all_as_they_were(steward: Person) -> None:
    leaver, other = make_person(Role.REGISTRAR), make_person(Role.REGISTRAR)
    managed = make_exhibition(manager=leaver)
    appointment(leaver, other)
    with pytest.raises(Refused, match="is the other of the two already"):
        pass_on(**acting(steward), person=leaver, to=other, keys=keys_of(leaver), why="Retires.")
    managed.refresh_from_db()
    assert managed.manager == leaver


def test_what_is_done_or_elsewhere_by_now_is_not_passed_on(steward: Person) -> None:
    leaver, heir = make_person(Role.REGISTRAR), make_person(Role.REGISTRAR)
    keys = [f"manager:{make_exhibition(manager=leaver).uid}"]
    row = Exhibition.objects.get(manager=leaver)
    row.manager = heir
    row.keep(**kept_by())
    with pytest.raises(Refused, match="done or passed on meanwhile"):
        pass_on(**acting(steward), person=leaver, to=heir, keys=keys, why="Retires.")
    with pytest.raises(Refused, match="done or passed on meanwhile"):
        pass_on(**acting(steward), person=leaver, to=heir, keys=["journal:1"], why="Retires.")


def test_nothing_is_passed_to_oneself_to_one_who_left_or_by_others(steward: Person) -> None:
    leaver = make_person(Role.REGISTRAR)
    gone = make_person(Role.REGISTRAR, ends_on=DAY - timedelta(days=1))
    keys = [f"manager:{make_exhibition(manager=leaver).uid}"]
    for to in (leaver, gone):
        with pytest.raises(Refused) as refused:
            pass_on(**acting(steward), person=leaver, to=to, keys=keys, why="Retires.")
        assert {reason.field for reason in refused.value.reasons} == {"to"}
    with pytest.raises(NotAllowed):
        pass_on(
            by=leaver, role=Role.REGISTRAR, at=AT, person=leaver, to=steward, keys=keys, why="x"
        )


def test_the_list_asks_the_same_for_one_thing_and_for_many(steward: Person) -> None:
    leaver, other = make_person(Role.CURATOR), make_person(Role.CURATOR)

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            hand_over_list(leaver, AT)
        return len(queries)

    def more() -> None:
        make_exhibition(manager=leaver).curators.add(leaver)
        appointment(leaver, other)

    more()
    one = asked()
    for _ in range(3):
        more()
    assert asked() == one


def test_every_field_that_may_be_passed_on_exists_and_names_a_person() -> None:
    for kind, held in HELD.items():
        assert held.model._meta.get_field(held.field).related_model is Person, kind
        if held.beside:
            assert held.model._meta.get_field(held.beside).related_model is Person, kind


def test_closing_at_once_ends_sessions_password_and_second_step(steward: Person) -> None:
    someone = make_person(Role.CURATOR)
    assert someone.account is not None
    Authenticator.objects.create(user=someone.account, type="totp", data={"secret": "A"})
    client = visitor(person=someone)
    assert client.get("/me/").status_code == 200
    end_account(**acting(steward), person=someone, ends_on=DAY, why="Left.", at_once=True)
    assert client.get("/me/").status_code == 302
    someone.account.refresh_from_db()
    assert not someone.account.is_active
    assert not someone.account.has_usable_password()
    assert not Authenticator.objects.filter(user=someone.account).exists()
    with pytest.raises(Refused, match="is closed"):
        ready_for_link(**acting(steward), person=someone, why="Again.")


def test_contact_details_go_from_the_history_too_and_the_name_stays(steward: Person) -> None:
    someone = make_person(Role.CURATOR)
    name, mail = someone.full_name, someone.email
    leave: dict[str, Any] = {"person": someone, "why": "Left.", "drop_contact": True}
    with pytest.raises(Refused) as refused:
        end_account(**acting(steward), ends_on=DAY + timedelta(days=9), **leave)
    assert {reason.field for reason in refused.value.reasons} == {"drop_contact"}
    end_account(**acting(steward), ends_on=DAY, at_once=True, **leave)
    someone.refresh_from_db()
    assert (someone.full_name, someone.email) == (name, "")
    assert mail not in set(someone.history.values_list("email", flat=True))
    assert set(someone.history.values_list("full_name", flat=True)) == {name}


def test_the_last_steward_neither_leaves_nor_is_ended(steward: Person) -> None:
    with pytest.raises(Refused, match="Nobody would be steward"):
        end_account(
            **acting(steward), person=steward, ends_on=DAY + timedelta(days=30), why="Retires."
        )
    make_person(Role.STEWARD)
    end_account(**acting(steward), person=steward, ends_on=DAY + timedelta(days=30), why="Retires.")


def test_who_comes_back_gets_the_same_account(steward: Person) -> None:
    someone = make_person(Role.CURATOR)
    account = someone.account
    end_account(**acting(steward), person=someone, ends_on=DAY, why="Left.", at_once=True)
    reopen_account(**acting(steward), person=someone, ends_on=None, why="Back for the season.")
    someone.refresh_from_db()
    assert someone.account == account
    assert someone.account is not None
    assert someone.account.is_active
    assert person_facts(someone, AT).roles == {Role.CURATOR}
    assert not someone.account.has_usable_password()
