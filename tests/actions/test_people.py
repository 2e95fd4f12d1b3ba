"""People, roles from–to, deputies, guest passes and accounts."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.people import (
    PassDetails,
    PersonDetails,
    add_colleague,
    add_person,
    change_person,
    choose_password,
    end_account,
    end_role,
    give_pass,
    give_role,
    name_deputy,
    open_account,
    set_letter,
    shorten_pass,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Account, MuseumObject, Organisation, Person
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_museum,
    make_object,
    make_person,
    make_place,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward() -> Person:
    make_museum()
    return make_person(Role.STEWARD)


def acting(steward: Person) -> dict[str, Any]:
    return {"by": steward, "role": Role.STEWARD, "at": AT}


def refused_fields(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.field for reason in refused.value.reasons}


@pytest.mark.parametrize("name", ["", "M.", "M. O."])
def test_initials_are_no_name(steward: Person, name: str) -> None:
    with pytest.raises(Refused) as refused:
        add_person(**acting(steward), details=PersonDetails(full_name=name))
    assert refused_fields(refused) == {"full_name"}


def test_two_people_of_one_name_are_told_apart(steward: Person) -> None:
    add_person(**acting(steward), details=PersonDetails(full_name="Marit  Oldacre"))
    with pytest.raises(Refused, match="Marit Oldacre is on record already"):
        add_person(**acting(steward), details=PersonDetails(full_name="marit oldacre"))


def test_a_colleague_comes_in_whole_or_not_at_all(steward: Person) -> None:
    details = PersonDetails(full_name="Marit Oldacre")
    roles = (Role.CONSERVATOR, Role.REGISTRAR)
    for username, wrong, field in (
        ("no such name!", roles, "username"),
        ("marit", (*roles, Role.ATTENDANT), "roles"),
    ):
        with pytest.raises(Refused) as refused:
            add_colleague(**acting(steward), details=details, roles=wrong, username=username)
        assert refused_fields(refused) == {field}
        assert not Person.objects.filter(full_name="Marit Oldacre").exists()
    made = add_colleague(**acting(steward), details=details, roles=roles, username="marit")
    assert person_facts(made, AT).roles == frozenset(roles)
    assert made.account is not None
    assert not made.account.has_usable_password()
    silent = add_colleague(**acting(steward), details=PersonDetails(full_name="Rufus Tarn"))
    assert silent.account is None


def test_a_role_counts_from_its_first_to_its_last_day(steward: Person) -> None:
    someone = make_person()
    row = give_role(
        **acting(steward),
        person=someone,
        given=Role.CONSERVATOR,
        from_on=DAY,
        until_on=DAY + timedelta(days=10),
    )
    assert person_facts(someone, AT).roles == {Role.CONSERVATOR}
    assert person_facts(someone, AT + timedelta(days=11)).roles == set()
    with pytest.raises(Refused) as refused:
        give_role(
            **acting(steward),
            person=someone,
            given=Role.CONSERVATOR,
            from_on=DAY + timedelta(days=5),
        )
    assert refused_fields(refused) == {"given"}
    end_role(**acting(steward), assignment=row, until_on=DAY, why="Left early.")
    assert person_facts(someone, AT + timedelta(days=1)).roles == set()


def test_an_attendant_gets_galleries_and_guests_get_a_pass(steward: Person) -> None:
    someone = make_person()
    for given, field in ((Role.ATTENDANT, "galleries"), (Role.COURIER, "given")):
        with pytest.raises(Refused) as refused:
            give_role(**acting(steward), person=someone, given=given, from_on=DAY)
        assert refused_fields(refused) == {field}
    gallery = make_place("North Gallery")
    row = give_role(
        **acting(steward),
        person=someone,
        given=Role.ATTENDANT,
        from_on=DAY,
        galleries=[gallery],
        trained=True,
    )
    assert list(row.galleries.all()) == [gallery]


def test_the_last_steward_stays(steward: Person) -> None:
    row = steward.roles.get()
    with pytest.raises(Refused, match="Nobody would be steward"):
        end_role(**acting(steward), assignment=row, until_on=DAY, why="Leaves.")
    make_person(Role.STEWARD)
    end_role(**acting(steward), assignment=row, until_on=DAY, why="Leaves.")


def test_a_deputy_needs_somebody_in_that_role(steward: Person) -> None:
    curator, deputy = make_person(Role.CURATOR), make_person(Role.REGISTRAR)
    term: dict[str, Any] = {
        "for_person": curator,
        "deputy": deputy,
        "from_on": DAY,
        "until_on": DAY,
    }
    with pytest.raises(Refused) as refused:
        name_deputy(**acting(steward), **term, deputy_role=Role.CONSERVATOR)
    assert refused_fields(refused) == {"deputy_role"}
    name_deputy(**acting(steward), **term, deputy_role=Role.CURATOR)


def test_a_pass_holds_only_objects_of_its_house(steward: Person) -> None:
    house = Organisation(name="Thornby Observatory", kind="lender").keep(**kept_by())
    theirs = make_object(owner_kind="lender", lender=house)
    ours, courier = make_object(object_number="HCM.1"), make_person()

    def details(*objects: MuseumObject) -> PassDetails:
        return PassDetails(
            given=Role.COURIER,
            organisation=house,
            museum_objects=objects,
            from_on=DAY,
            until_on=DAY + timedelta(days=3),
        )

    with pytest.raises(Refused, match=r"HCM\.1 does not belong"):
        give_pass(**acting(steward), person=courier, details=details(theirs, ours))
    row = give_pass(**acting(steward), person=courier, details=details(theirs))
    assert person_facts(courier, AT).posts[0].objects == {theirs.pk}
    shorten_pass(**acting(steward), guest_pass=row, until_on=DAY, why="Left.")
    assert person_facts(courier, AT + timedelta(days=1)).posts == ()


def test_a_weak_password_opens_no_account(steward: Person) -> None:
    someone = make_person(account=False)
    with pytest.raises(Refused) as refused:
        open_account(**acting(steward), person=someone, username="gil", password="12345")
    assert refused_fields(refused) == {"password"}
    assert not Account.objects.filter(username="gil").exists()
    account = open_account(
        **acting(steward),
        person=someone,
        username="gil",
        password="a walk round the cases",
    )
    someone.refresh_from_db()
    assert someone.account == account
    with pytest.raises(Refused) as again:
        open_account(
            **acting(steward),
            person=make_person(account=False),
            username="GIL",
            password="a walk round the cases",
        )
    assert refused_fields(again) == {"username"}


def test_the_password_is_nowhere_in_the_history(steward: Person) -> None:
    someone = make_person()
    assert someone.account is not None
    choose_password(account=someone.account, password="a walk round the cases", at=AT)
    someone.account.refresh_from_db()
    assert someone.account.check_password("a walk round the cases")
    reasons = someone.history.values_list("history_change_reason", flat=True)
    assert "Password chosen by the person." in reasons
    assert not any("cases" in (reason or "") for reason in reasons)


def test_an_ended_account_opens_no_door(steward: Person) -> None:
    someone = make_person(Role.CURATOR)
    end_account(**acting(steward), person=someone, ends_on=DAY - timedelta(days=1), why="Left.")
    someone.refresh_from_db()
    assert person_facts(someone, AT).posts == ()


def test_nobody_ends_themselves_backwards(steward: Person) -> None:
    with pytest.raises(Refused) as refused:
        end_account(
            **acting(steward), person=steward, ends_on=DAY - timedelta(days=1), why="A slip."
        )
    assert refused_fields(refused) == {"ends_on"}


def test_everybody_chooses_their_own_letter_and_nobody_elses(steward: Person) -> None:
    someone = make_person(Role.CURATOR)
    with pytest.raises(NotAllowed):
        set_letter(**acting(steward), person=someone, letter_hour=6, zone="")
    with pytest.raises(Refused) as refused:
        set_letter(
            by=someone, role=Role.CURATOR, at=AT, person=someone, letter_hour=24, zone="Mars/Base"
        )
    assert refused_fields(refused) == {"letter_hour", "zone"}
    kept = set_letter(
        by=someone, role=Role.CURATOR, at=AT, person=someone, letter_hour=None, zone="Europe/Oslo"
    )
    assert (kept.letter_hour, kept.zone) == (None, "Europe/Oslo")


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.STEWARD])
def test_only_the_steward_keeps_people(role: Role) -> None:
    make_museum()
    someone = make_person(*([] if role in (Role.COURIER, Role.LENDER) else [role]))
    with pytest.raises(NotAllowed):
        change_person(
            by=someone,
            role=role,
            at=AT,
            person=someone,
            details=PersonDetails(full_name="Somebody Else"),
            why="Wish.",
        )
