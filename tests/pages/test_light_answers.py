"""What the light pages answer: spans, blue wools, overrides, all accounts, lamps, a case."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import localtime, now

from lifecycle.actions.display.answering import answer_request, override_answer
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer
from lifecycle.queries.light import accounts_of
from lifecycle.queries.light.ceilings import case_with
from lifecycle.queries.light.collection import collection_accounts
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Face, Person, Place, Showing
from lifecycle.science.spectrum import tungsten
from tests.builders.core import (
    kept_by,
    make_class,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.light import hang, make_case, read_light, want
from tests.pages.plain_words import words_of

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


def enter(client: Client, *roles: Role) -> Person:
    person = make_person(*roles)
    assert person.account is not None
    client.force_login(person.account)
    return person


def shown(case: Place, *, uv: str | None = None, **values: Any) -> Face:
    """A face put up a hundred days ago, read when it was put up and again ten days ago."""
    face = make_face(make_object(title="Cloud study", **values))
    place = make_place(parent=case)
    opened = now() - timedelta(days=100)
    read_light(place, "48", opened, uv=uv)
    read_light(place, "48", now() - timedelta(days=10), uv=uv)
    hang(face, place, opened_at=opened)
    return face


def text(client: Client, name: str, *args: Any, **query: Any) -> str:
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200, response.status_code
    return words_of(response.content.decode())


def test_the_page_of_a_face_adds_up_a_span_and_hatches_what_was_charged_unread(
    client: Client,
) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(make_case(), uv="5")
    since = localtime(now()) - timedelta(days=90)
    span = {"since": f"{since:%Y-%m-%dT00:00}", "until": f"{since + timedelta(7):%Y-%m-%dT00:00}"}
    page = client.get(reverse("light-face", args=[face.uid]), span).content.decode()
    said = words_of(page)
    # Any week has 51 lit hours; 48 lx.
    assert "2,448 lx·h" in said
    assert "51 lit hours on display (42 of them public)" in said
    # Read every 28 days: from the 56th day on, until it was read again, it is charged as a gap.
    assert 'fill="url(#dose-gap)"' in page
    assert "Hatched, charged without a reading" in said
    assert " style=" not in page
    assert "Highest UV read while it hung: 5 µW/lm" in said
    assert "column “UV removed”" in said
    wrong = {"since": span["until"], "until": span["since"]}
    assert "The span ends before it starts." in text(client, "light-face", face.uid, **wrong)
    unread = shown(make_case())
    assert "UV was never read while it hung" in text(client, "light-face", unread.uid)


def test_an_override_stays_on_the_account_of_the_face_for_ever(client: Client) -> None:
    enter(client, Role.CURATOR)
    face = shown(make_case())
    showing = make_showing(museum_object=face.museum_object)
    want(showing, face)
    answer_request(
        by=make_person(Role.CONSERVATOR),
        role=Role.CONSERVATOR,
        at=now(),
        showing=showing,
        answer=Answer.YES,
        because="It has light left.",
    )
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    override_answer(
        by=head,
        role=Role.HEAD_OF_COLLECTIONS,
        at=now(),
        showing=showing,
        answer=Answer.YES,
        reason="The jubilee comes once.",
    )
    said = text(client, "light-face", face.uid)
    assert "The jubilee comes once." in said
    assert head.full_name in said


def test_all_accounts_stand_in_one_list_the_least_left_first_and_say_what_one_by_one_says(
    client: Client, django_assert_max_num_queries: Counted
) -> None:
    person = enter(client, Role.CONSERVATOR)
    case = make_case()
    rows = [shown(case), make_face(make_object(title="Rested")), make_face(make_object())]
    rows[2].museum_object.sensitivity_class = None
    rows[2].museum_object.keep(**kept_by(), fields=["sensitivity_class"])
    at = now()
    facts = person_facts(person, at)
    with django_assert_max_num_queries(40) as few:
        found = collection_accounts(facts, at)
    assert [row.face for row in found] == [rows[2], rows[0], rows[1]]
    accounts = accounts_of(rows, at)
    for row in found:
        one = accounts[row.face.pk]
        assert (row.spent, row.booked, row.left) == (one.spent, one.booked, one.left)
        assert row.lifetime == one.lifetime
    shown(case)
    with django_assert_max_num_queries(len(few)):
        collection_accounts(facts, at)
    said = text(client, "light-accounts", q="Rested")
    assert "1 face, the least left first" in said
    assert "75,000" in said
    table = client.get(reverse("light-accounts"), {"as": "csv", "up": "on"})
    assert len(table.content.decode("utf-8-sig").splitlines()) == 3  # heading and the two up


def test_lamps_are_compared_and_a_spectrum_that_is_none_is_refused_with_its_line(
    client: Client,
) -> None:
    enter(client, Role.CONSERVATOR)
    lines = "\n".join(f"{nm:g}; {power:.6g}" for nm, power in tungsten().items())
    page = client.post(reverse("lamps"), {"name": "Old lamp", "spectrum": lines})
    said = words_of(page.content.decode())
    assert "Rag paper 0.195 0.195 1.00" in said
    assert "no account is ever charged by it" in said
    for wrong, says in (
        ("300 1\nnone", "Line 2 is not two numbers"),
        ("500 1\n530 1", "wider than 20 nm"),
        ("500 1\n500 2", "stands there twice"),
        ("500 1\n510 -1", "negative"),
    ):
        refused = client.post(reverse("lamps"), {"name": "x", "spectrum": wrong})
        assert says in refused.content.decode()
        assert wrong.splitlines()[0] in refused.content.decode()  # nothing typed is lost


def planned(case: Place, code: str, lux: int) -> Showing:
    """An object of a class with a ceiling of its own, planned into a case."""
    thing = make_object(sensitivity_class=make_class(code, max_lux=lux))
    face = make_face(thing)
    showing = make_showing(museum_object=thing, place=make_place(parent=case))
    want(showing, face)
    return showing


def test_a_case_too_bright_or_lowered_for_others_warns_who_adds_an_object(client: Client) -> None:
    enter(client, Role.CONSERVATOR, Role.REGISTRAR)
    case = make_case(name="Case N2")
    oil = planned(case, "low", 200)
    read_light(case, "120", now() - timedelta(days=2))
    plate = planned(make_case(name="Case N5"), "high", 50)
    place = make_place(name="b", parent=case)
    number, other = plate.museum_object.object_number, oil.museum_object.object_number
    bright, lowers = case_with(plate, place, now()).warnings
    assert bright == (
        f"Case N2 is too bright for {number}: 120 lx were read there, it may have 50 lx."
    )
    assert lowers == f"{number} lowers the ceiling of Case N2 from 200 to 50 lx for {other}."
    assert case_with(oil, place, now()).warnings == ()
    page = client.post(
        reverse("plan-place", args=[plate.uid]), {"place": str(place.uid)}, follow=True
    )
    said = words_of(page.content.decode())
    assert bright in said
    assert lowers in said
    assert "Ceiling of Case N2: 50 lx , set by this object" in said
