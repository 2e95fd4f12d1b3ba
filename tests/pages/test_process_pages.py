"""Today, exhibitions, a showing, moves, waivers and holds, in the browser's own words."""

from datetime import date, timedelta
from unittest.mock import patch

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.actions.moves import make_move
from lifecycle.actions.preparation.mounts import ask_for_mount
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import HoldKind, PlaceKind
from lifecycle.records.models import FaceWanted, Person, Showing, Vocabulary
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)

pytestmark = pytest.mark.django_db
R = Role


def sign_in(client: Client, person: Person) -> Client:
    assert person.account is not None
    client.force_login(person.account)
    return client


def asked(curator: Person | None = None, **values: object) -> Showing:
    """A showing that was asked for, by the real move."""
    make_museum()
    curator = curator or make_person(R.CURATOR)
    exhibition = values.pop("exhibition", None) or make_exhibition(
        closes=AT.date().replace(year=2027), deinstall_until=AT.date().replace(year=2027)
    )
    exhibition.curators.add(curator)  # type: ignore[attr-defined]
    thing = make_object()
    face = make_face(thing, label="front")
    showing = make_showing(
        exhibition=exhibition,
        museum_object=thing,
        asked_by=curator,
        no_alternative_because="Nothing else shows it.",
        **values,
    )
    FaceWanted(
        showing=showing,
        face=face,
        order=1,
        from_on=showing.show_from,
        until_on=showing.show_to,
    ).keep(**kept_by())
    make_move(showing_id=showing.pk, move="request", by=curator, role=R.CURATOR, at=AT)
    showing.refresh_from_db()
    return showing


def test_today_says_what_to_do_why_and_where(client: Client) -> None:
    showing = asked()
    text = sign_in(client, make_person(R.CONSERVATOR)).get("/").content.decode()
    assert f"The request for {showing.museum_object.object_number} is not answered yet" in text
    assert reverse("request-answer", args=[showing.uid]) in text


def test_today_of_somebody_without_tasks_says_what_would_be_here(client: Client) -> None:
    asked()
    text = sign_in(client, make_person(R.PHOTOGRAPHER)).get("/").content.decode()
    assert "Nothing waits for you today" in text
    assert "Picture jobs" in text


def test_the_showing_page_lists_what_is_missing_with_links(client: Client) -> None:
    showing = asked()
    client = sign_in(client, make_person(R.CONSERVATOR))
    text = client.get(reverse("showing", args=[showing.uid])).content.decode()
    assert "Still missing" in text
    assert "is not answered yet" in text
    assert "asked for by" in text
    assert reverse("decline", args=[showing.uid]) in text
    gates = text[text.index('id="gates"') :]
    assert f'href="{reverse("assess", args=[showing.uid])}">Assess</a>' in gates


def test_a_gate_links_to_no_page_that_is_shut_to_the_reader(client: Client) -> None:
    showing = asked()
    client = sign_in(client, make_person(R.REGISTRAR))
    text = client.get(reverse("showing", args=[showing.uid])).content.decode()
    gates = text[text.index('id="gates"') : text.index('id="request"')]
    assert reverse("assess", args=[showing.uid]) not in gates
    assert "Record the route" in gates


@pytest.mark.parametrize(
    ("role", "status"),
    [(R.CONSERVATOR, 200), (R.REGISTRAR, 200), (R.STEWARD, 200), (R.PHOTOGRAPHER, 403)],
)
def test_a_showing_is_shown_to_those_who_may_see_it(
    client: Client, role: Role, status: int
) -> None:
    showing = asked()
    found = sign_in(client, make_person(role)).get(reverse("showing", args=[showing.uid]))
    assert found.status_code == status


def test_a_blocked_move_shows_every_reason_and_no_button(client: Client) -> None:
    showing = asked()
    client = sign_in(client, make_person(R.CONSERVATOR))
    address = reverse("move", args=[showing.uid, "take_in"])
    text = client.get(address).content.decode()
    assert "What stands in the way" in text
    assert 'type="submit">Take in' not in text
    posted = client.post(address, {"reason": ""})
    assert posted.status_code == 200
    showing.refresh_from_db()
    assert showing.stage == Stage.SELECTION


def test_a_move_of_another_role_is_not_you(client: Client) -> None:
    showing = asked()
    address = reverse("move", args=[showing.uid, "take_in"])
    assert sign_in(client, make_person(R.REGISTRAR)).post(address).status_code == 403
    strange = reverse("move", args=[showing.uid, "fly"])
    assert client.get(strange).status_code == 404


def test_exhibitions_and_the_readiness_table(client: Client) -> None:
    showing = asked()
    client = sign_in(client, make_person(R.REGISTRAR))
    assert "Rain by Noon" in client.get(reverse("exhibitions")).content.decode()
    page = client.get(reverse("exhibition", args=[showing.exhibition.uid])).content.decode()
    assert showing.museum_object.object_number in page
    assert "baseline: to do" in page
    assert "imaging: not needed" in page
    assert "still missing for" in page


def test_a_hold_stops_and_a_decision_lifts_it(client: Client) -> None:
    showing = asked()
    conservator = make_person(R.CONSERVATOR)
    client = sign_in(client, conservator)
    new = reverse("hold-new", args=[showing.museum_object.uid])
    said = {"kind": HoldKind.UNCLEAR_FINDING, "reason": "A lifting flake."}
    client.post(f"{new}?showing={showing.uid}", said)
    hold = showing.museum_object.holds.get()
    assert hold.showing == showing
    page = client.get(reverse("showing", args=[showing.uid])).content.decode()
    assert "A lifting flake." in page
    decide = reverse("hold", args=[hold.uid])
    assert client.post(decide, {}).status_code == 200
    client.post(decide, {"decision": "Loose before; stable.", "outcome": "lift"})
    hold.refresh_from_db()
    assert hold.lifted_by == conservator
    assert client.get(f"{new}?showing=nonsense").status_code == 200


def test_a_waiver_is_given_shown_and_ended(client: Client) -> None:
    showing = asked()
    head = make_person(R.HEAD_OF_COLLECTIONS)
    client = sign_in(client, head)
    address = reverse("waive", args=[showing.uid])
    assert client.get(f"{address}?code=answer.missing").status_code == 404
    assert client.get(f"{address}?code=housing.fits").status_code == 200
    refused = client.post(f"{address}?code=housing.fits", {"reason": "Box next week."})
    assert refused.status_code == 200
    client.post(f"{address}?code=housing.fits", {"reason": "Box next week.", "until": "2999-01-01"})
    waiver = showing.waivers.get()
    assert (waiver.code, waiver.by, waiver.ended_at) == ("housing.fits", head, None)
    client.post(reverse("waiver-end", args=[waiver.uid]), {"reason": "The box is there."})
    waiver.refresh_from_db()
    assert waiver.ended_at is not None


def test_a_move_can_be_struck_by_its_maker(client: Client) -> None:
    curator = make_person(R.CURATOR)
    showing = asked(curator)
    entry = showing.journal.get()
    address = reverse("strike", args=[entry.uid])
    assert sign_in(client, make_person(R.REGISTRAR)).get(address).status_code == 403
    page = sign_in(client, curator).post(address, {"reason": "The wrong object."})
    assert page.status_code in (200, 302)


def test_no_move_is_offered_to_be_struck_after_its_day(client: Client) -> None:
    curator = make_person(R.CURATOR)
    showing = asked(curator)
    address = reverse("showing", args=[showing.uid])
    strike = reverse("strike", args=[showing.journal.get().uid])
    assert strike not in sign_in(client, curator).get(address).content.decode()
    with patch("lifecycle.pages.showings.last_day_to_strike", return_value=date.max):
        assert strike in client.get(address).content.decode()


def test_position_and_standing_alone_are_written_on_small_forms(client: Client) -> None:
    curator = make_person(R.CURATOR)
    showing = asked(curator)
    place = make_place("N4-1", PlaceKind.POSITION)
    client = sign_in(client, make_person(R.REGISTRAR))
    client.post(reverse("plan-place", args=[showing.uid]), {"place": str(place.uid)})
    showing.refresh_from_db()
    assert showing.place == place
    client = sign_in(client, curator)
    client.post(reverse("stand-alone", args=[showing.uid]), {"note": "The card is at print."})
    showing.refresh_from_db()
    assert showing.stands_alone_by == curator


def test_a_late_link_and_its_owner_head_the_readiness_and_stand_on_the_showing(
    client: Client,
) -> None:
    """The second support is with the mount maker and was needed three weeks before the install."""
    exhibition = make_exhibition(
        install_from=AT.date() + timedelta(days=10),
        opens=AT.date() + timedelta(days=14),
        closes=AT.date() + timedelta(days=120),
        deinstall_until=AT.date() + timedelta(days=130),
    )
    rufus = make_person(R.MOUNT_MAKER, name="Rufus Tiller")
    showing = asked(
        exhibition=exhibition,
        show_from=AT.date() + timedelta(days=14),
        show_to=AT.date() + timedelta(days=100),
    )
    marit = make_person(R.CONSERVATOR, name="Marit Oldacre")
    ask_for_mount(
        by=marit,
        role=R.CONSERVATOR,
        at=AT,
        showing=showing,
        kind=make_word(Vocabulary.MOUNT_KIND, "cradle"),
        faces=list(showing.museum_object.faces.all()),
        with_whom=rufus,
    )
    client = sign_in(client, marit)
    table = client.get(reverse("exhibition", args=[exhibition.uid])).content.decode()
    assert "First late links" in table
    own = client.get(reverse("showing", args=[showing.uid])).content.decode()
    assert "First late link" in own
    assert "With Rufus Tiller." in own
    assert "G8 mount" in own
