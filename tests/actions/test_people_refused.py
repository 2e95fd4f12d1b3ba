"""People and accounts: each refusal by itself, and nobody but the steward for any of it."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions import people
from lifecycle.actions.people import PassDetails, PersonDetails
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import Account, DeputyTerm, GuestPass, Organisation
from tests.builders.core import AT, DAY, kept_by, make_museum, make_object, make_person, make_place

pytestmark = pytest.mark.django_db
PAST, SOON, LATER = DAY - timedelta(days=1), DAY + timedelta(days=9), DAY + timedelta(days=20)


class House:
    """Two stewards, so that either may go; somebody with an account and somebody without."""

    def __init__(self) -> None:
        make_museum()
        self.steward, self.other = make_person(Role.STEWARD), make_person(Role.STEWARD)
        self.curator = make_person(Role.CURATOR)
        self.bare = make_person(account=False)
        self.leaves = make_person(Role.REGISTRAR, ends_on=DAY)
        self.gone = make_person(ends_on=PAST)
        self.lender = Organisation(name="Thornby Observatory", kind="lender").keep(**kept_by())
        self.lent = make_object(owner_kind="lender", lender=self.lender)
        self.term = DeputyTerm(
            for_person=self.curator,
            deputy=self.other,
            role=Role.CURATOR,
            from_on=DAY,
            until_on=SOON,
        ).keep(**kept_by())
        self.guest_pass = GuestPass(
            person=self.bare,
            role=Role.COURIER,
            organisation=self.lender,
            from_on=DAY,
            until_on=SOON,
        ).keep(**kept_by())
        self.post = self.curator.roles.get()
        Account.objects.filter(person=self.other).update(identity="taken")

    def pass_of(self, given: Role = Role.COURIER, *, objects: bool = True) -> PassDetails:
        return PassDetails(
            given=given,
            organisation=self.lender,
            museum_objects=[self.lent] if objects else [],
            from_on=DAY,
            until_on=SOON,
        )


@pytest.fixture
def house() -> House:
    return House()


def deputy(h: House, **more: Any) -> dict[str, Any]:
    return {
        "for_person": h.curator,
        "deputy": h.other,
        "deputy_role": Role.CURATOR,
        "from_on": DAY,
        "until_on": SOON,
    } | more


Values = Callable[[House], dict[str, Any]]
named = PersonDetails(full_name="Somebody Else")
#: What is tried, with what it is given, and the field the refusal stands beside.
REFUSED: list[tuple[str, Values, str]] = [
    ("open_account", lambda h: {"person": h.curator, "username": "second"}, "username"),
    ("open_account", lambda h: {"person": h.bare, "username": " "}, "username"),
    ("ready_for_link", lambda h: {"person": h.bare, "why": "Lost."}, ""),
    ("ready_for_link", lambda h: {"person": h.curator, "why": " "}, "why"),
    ("ready_for_link", lambda h: {"person": h.gone, "why": "Lost."}, ""),
    ("name_identity", lambda h: {"person": h.bare, "identity": "x", "why": "New."}, ""),
    ("name_identity", lambda h: {"person": h.curator, "identity": "x", "why": " "}, "why"),
    ("name_identity", lambda h: {"person": h.curator, "identity": "x" * 256, "why": "New."},
     "identity"),
    ("name_identity", lambda h: {"person": h.curator, "identity": "taken", "why": "New."},
     "identity"),
    ("end_account", lambda h: {"person": h.curator, "ends_on": DAY, "why": " "}, "why"),
    ("end_account", lambda h: {"person": h.steward, "ends_on": PAST, "why": "A slip."}, "ends_on"),
    ("end_account", lambda h: {"person": h.steward, "ends_on": SOON, "why": "A slip.",
                               "at_once": True}, "ends_on"),
    ("end_account", lambda h: {"person": h.curator, "ends_on": SOON, "why": "Left.",
                               "drop_contact": True}, "drop_contact"),
    ("reopen_account", lambda h: {"person": h.bare, "ends_on": None, "why": "Back."}, ""),
    ("reopen_account", lambda h: {"person": h.gone, "ends_on": None, "why": " "}, "why"),
    ("reopen_account", lambda h: {"person": h.gone, "ends_on": PAST, "why": "Back."}, "ends_on"),
    ("give_pass", lambda h: {"person": h.bare, "details": h.pass_of(Role.CONSERVATOR)}, "given"),
    ("give_pass", lambda h: {"person": h.bare, "details": h.pass_of(objects=False)},
     "museum_objects"),
    ("shorten_pass", lambda h: {"guest_pass": h.guest_pass, "until_on": LATER, "why": "More."},
     "until_on"),
    ("shorten_pass", lambda h: {"guest_pass": h.guest_pass, "until_on": DAY, "why": " "}, "why"),
    ("change_person", lambda h: {"person": h.curator, "details": PersonDetails(full_name=" "),
                                 "why": "Wed."}, "full_name"),
    ("change_person", lambda h: {"person": h.curator, "details": named, "why": " "}, "why"),
    ("change_person", lambda h: {"person": h.steward, "why": "A slip.", "details": PersonDetails(
        full_name="Somebody Else", ends_on=PAST)}, "ends_on"),
    ("pass_on", lambda h: {"person": h.leaves, "to": h.curator, "keys": [], "why": "Leaves."},
     "keys"),
    ("pass_on", lambda h: {"person": h.leaves, "to": h.curator, "keys": ["x:y"], "why": " "},
     "why"),
    ("end_role", lambda h: {"assignment": h.post, "until_on": DAY, "why": " "}, "why"),
    ("name_deputy", lambda h: deputy(h, deputy=h.curator), "deputy"),
    ("name_deputy", lambda h: deputy(h, from_on=PAST, until_on=PAST), "until_on"),
    ("name_deputy", lambda h: deputy(h, deputy=h.leaves), "until_on"),
    ("end_deputy", lambda h: {"term": h.term, "until_on": LATER, "why": "More."}, "until_on"),
    ("end_deputy", lambda h: {"term": h.term, "until_on": DAY, "why": " "}, "why"),
]  # fmt: skip


@pytest.mark.parametrize(("deed", "values", "field"), REFUSED)
def test_each_refusal_stands_beside_its_field_and_alone(
    house: House, deed: str, values: Values, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        getattr(people, deed)(by=house.steward, role=Role.STEWARD, at=AT, **values(house))
    assert [reason.field for reason in refused.value.reasons] == [field]


#: Every deed, given what a steward could do with it.
LAWFUL: list[tuple[str, Values]] = [
    ("add_person", lambda h: {"details": named}),
    ("add_colleague", lambda h: {"details": named}),
    ("change_person", lambda h: {"person": h.curator, "details": named, "why": "Wed."}),
    ("open_account", lambda h: {"person": h.bare, "username": "gil"}),
    ("ready_for_link", lambda h: {"person": h.curator, "why": "Lost."}),
    ("name_identity", lambda h: {"person": h.curator, "identity": "x", "why": "New."}),
    ("end_account", lambda h: {"person": h.curator, "ends_on": DAY, "why": "Left."}),
    ("reopen_account", lambda h: {"person": h.gone, "ends_on": None, "why": "Back."}),
    ("give_pass", lambda h: {"person": h.bare, "details": h.pass_of()}),
    ("shorten_pass", lambda h: {"guest_pass": h.guest_pass, "until_on": DAY, "why": "Left."}),
    ("give_role", lambda h: {"person": h.bare, "given": Role.ATTENDANT, "from_on": DAY,
                             "galleries": [make_place("North Gallery")]}),
    ("end_role", lambda h: {"assignment": h.post, "until_on": DAY, "why": "Left."}),
    ("name_deputy", lambda h: deputy(h)),
    ("end_deputy", lambda h: {"term": h.term, "until_on": DAY, "why": "Back."}),
]  # fmt: skip


@pytest.mark.parametrize(("deed", "values"), LAWFUL)
def test_the_steward_alone_does_it(house: House, deed: str, values: Values) -> None:
    act, given = getattr(people, deed), values(house)
    with pytest.raises(NotAllowed):
        act(by=house.curator, role=Role.CURATOR, at=AT, **given)
    act(by=house.steward, role=Role.STEWARD, at=AT, **given)


def test_nobody_opens_their_own_account_again_and_a_weak_choice_is_refused(house: House) -> None:
    with pytest.raises(NotAllowed, match="Another steward"):
        people.reopen_account(
            by=house.steward,
            role=Role.STEWARD,
            at=AT,
            person=house.steward,
            ends_on=None,
            why="Back.",
        )
    account = house.curator.account
    assert account is not None
    with pytest.raises(Refused):
        people.choose_password(account=account, password="12345", at=AT)
    account.refresh_from_db()
    assert account.check_password("long enough 42")


def test_the_last_steward_is_given_no_last_day_by_a_change_of_the_card(house: House) -> None:
    house.other.ends_on = PAST
    house.other.keep(**kept_by())
    details = PersonDetails(full_name="Somebody Else", ends_on=SOON)
    with pytest.raises(Refused, match="Nobody would be steward"):
        people.change_person(
            by=house.steward,
            role=Role.STEWARD,
            at=AT,
            person=house.steward,
            details=details,
            why="Leaves.",
        )
