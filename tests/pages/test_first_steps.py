"""The first steps of a new museum, and the page that says who may do what."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lifecycle.process.rights import RIGHTS, Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.first_steps import first_steps
from lifecycle.records.models import (
    DeputyTerm,
    GuestPass,
    HouseRules,
    LitTimetable,
    Organisation,
)
from lifecycle.records.models.work import Work, WorkKind
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_class,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db


def done(day: date = DAY) -> dict[str, bool]:
    return {step.label: step.done for step in first_steps(day)}


def test_each_step_is_done_once_the_museum_has_what_it_asks_for() -> None:
    make_museum()
    make_person(Role.STEWARD)
    assert set(done().values()) == {False}

    make_person(Role.CURATOR)
    assert [label for label, is_done in done().items() if is_done] == ["Accounts for colleagues"]

    make_place("North Gallery", PlaceKind.ROOM)
    assert not done()["Places"]
    make_place("Store One", PlaceKind.STORE)
    assert done()["Places"]

    LitTimetable(name="Galleries", source="timetable").keep(**kept_by())
    assert done()["A lit timetable"]

    make_class()
    rules = HouseRules.objects.get()
    assert done()["House rules"]
    assert done()["Taking over"]
    rules.taking_over_until = DAY
    rules.keep(**kept_by())
    assert not done()["Taking over"]
    assert done(DAY + timedelta(days=1))["Taking over"]

    make_object()
    assert done()["Objects"]
    make_exhibition()
    assert done()["Exhibitions"]

    made = Work.objects.create(kind=WorkKind.BACKUP, key="backup/1", asked_at=AT)
    assert not done()["A proven backup"]
    made.results = {"proven": True}
    made.save()
    assert done()["A proven backup"]


def test_a_later_version_of_the_rules_ends_the_taking_over_of_the_older_one() -> None:
    make_museum()
    make_class()
    old = HouseRules.objects.get()
    old.taking_over_until = DAY + timedelta(days=90)
    old.keep(**kept_by())
    assert not done()["Taking over"]
    HouseRules(version=4, source="x", valid_from=DAY).keep(**kept_by())
    assert done()["Taking over"]


def test_they_are_read_in_one_query_and_the_demo_has_none() -> None:
    museum = make_museum()
    with CaptureQueriesContext(connection) as asked:
        first_steps(DAY)
    assert len(asked) == 1
    museum.is_demo = True
    museum.keep(**kept_by())
    assert first_steps(DAY) == ()


def test_the_steward_alone_sees_them_with_who_does_what_is_not_theirs() -> None:
    make_museum()
    text = visitor(Role.STEWARD).get(reverse("today")).content.decode()
    assert "First steps" in text
    assert "For the head of collections." in text
    assert "give yourself a role" in text
    both = make_person(Role.STEWARD, Role.HEAD_OF_COLLECTIONS)
    assert "give yourself a role" not in visitor(person=both).get(reverse("today")).content.decode()
    assert "First steps" in visitor(Role.STEWARD).get(reverse("steward")).content.decode()
    assert "First steps" not in visitor(Role.CURATOR).get(reverse("today")).content.decode()


class TestRights:
    @pytest.fixture(autouse=True)
    def museum(self) -> None:
        make_museum()

    def test_every_cell_of_the_rights_table_stands_on_the_page(self) -> None:
        page = visitor(Role.ATTENDANT).get(reverse("rights"))
        table: dict[str, Any] = dict(page.context["table"])
        assert set(table) == {deed.label for deed in Deed}
        for deed in Deed:
            assert {role for role, _ in table[deed.label]} == set(RIGHTS[deed])
        text = page.content.decode()
        assert all(deed.label in text for deed in Deed)

    def test_names_are_for_the_steward_and_the_head_alone(self) -> None:
        someone = make_person(Role.PHOTOGRAPHER)
        for role in Role:
            if role in (Role.COURIER, Role.LENDER):
                continue
            text = visitor(role).get(reverse("rights")).content.decode()
            shown = role in (Role.STEWARD, Role.HEAD_OF_COLLECTIONS)
            assert (someone.full_name in text) is shown, role

    def test_deputies_and_last_days_stand_beside_the_names(self) -> None:
        today = timezone.localdate()
        curator = make_person(Role.CURATOR, ends_on=today + timedelta(days=9))
        deputy = make_person(Role.REGISTRAR)
        DeputyTerm(
            for_person=curator,
            deputy=deputy,
            role=Role.CURATOR,
            from_on=today,
            until_on=today + timedelta(days=3),
        ).keep(**kept_by())
        gone = make_person(Role.CURATOR, ends_on=today - timedelta(days=1))
        text = visitor(Role.STEWARD).get(reverse("rights")).content.decode()
        assert f"deputy of {curator.full_name}, to consent" in text
        assert gone.full_name not in text
        assert "until" in text

    def test_the_page_asks_the_same_for_one_person_and_for_many(self) -> None:
        client = visitor(Role.STEWARD)
        one = questions(client, reverse("rights"))
        for role in (Role.CURATOR, Role.CURATOR, Role.REGISTRAR):
            make_person(role)
        assert questions(client, reverse("rights")) == one


def test_a_guest_sees_at_a_place_the_objects_of_the_pass_alone() -> None:
    make_museum()
    case = make_place("N4", PlaceKind.CASE)
    house = Organisation(name="Thornby Observatory", kind="lender").keep(**kept_by())
    lent = make_object(title="A lent page", owner_kind="lender", lender=house)
    ours = make_object(title="A page of ours")
    shown, _ = [
        make_showing(
            museum_object=one, place=case, stage="ready", exhibition=make_exhibition(title=title)
        )
        for one, title in ((lent, "Rain"), (ours, "Frost"))
    ]
    for one in (lent, ours):
        one.current_location = case
        one.keep(**kept_by())
    courier = make_person()
    row = GuestPass(
        person=courier,
        role=Role.COURIER,
        organisation=house,
        from_on=DAY,
        until_on=DAY + timedelta(days=3650),
    ).keep(**kept_by())
    row.museum_objects.set([lent])
    address = reverse("place", args=[case.uid])
    text = visitor(person=courier).get(address).content.decode()
    assert "A lent page" in text
    assert "A page of ours" not in text
    assert "A page of ours" in visitor(Role.ATTENDANT).get(address).content.decode()
    assert "1 object here" in visitor(person=courier).get(reverse("places")).content.decode()
    assert "2 objects here" in visitor(Role.CURATOR).get(reverse("places")).content.decode()
    for name in ("objects", "papers"):
        form = visitor(person=courier).get(reverse(name)).context["form"]
        assert list(form.fields["exhibition"].queryset) == [shown.exhibition]
