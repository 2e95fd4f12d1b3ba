"""Pages of objects: who sees and keeps what, counted queries, refusals beside their fields."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.changes import version_of
from lifecycle.records.models import MuseumObject, ObjectHazard, Vocabulary
from tests.builders.core import (
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
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db

FORMS = (
    "object-change",
    "face-new",
    "hazard-new",
    "object-size",
    "component-new",
    "object-number-new",
    "companion-new",
)
KEEPERS = (Role.CONSERVATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS)


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


def posted(**values: Any) -> dict[str, Any]:
    word = make_word(Vocabulary.OBJECT_TYPE, "bound-manuscript")
    base = {
        "object_number": "HCM.1908.12",
        "title": "Weather diary",
        "object_type": word.pk,
        "owner_kind": "museum",
        "orientation_rule": "any",
    }
    return {**base, **values}


@pytest.mark.parametrize("role", [role for role in Role if role not in (Role.COURIER, Role.LENDER)])
def test_forms_open_for_those_who_keep_cards_and_for_nobody_else(role: Role) -> None:
    stored = make_object()
    client = visitor(role)
    wanted = 200 if role in KEEPERS else 403
    for name in FORMS:
        answer = client.get(reverse(name, args=[stored.uid]))
        assert answer.status_code == wanted, name
        if wanted == 403:
            assert client.post(reverse(name, args=[stored.uid]), {}).status_code == 403
    assert MuseumObject.objects.count() == 1


def test_a_stranger_is_sent_to_the_door() -> None:
    answer = Client().get(reverse("objects"))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("sign-in"))


def test_an_attendant_sees_only_what_is_in_their_gallery() -> None:
    gallery = make_place("North Gallery", PlaceKind.ROOM)
    here = make_object(object_number="HCM.1", current_location=gallery)
    make_object(object_number="HCM.2")
    walker = make_person(Role.ATTENDANT)
    walker.roles.get().galleries.add(gallery)
    client = visitor(person=walker)
    text = client.get(reverse("objects")).content.decode()
    assert "HCM.1" in text
    assert "HCM.2" not in text
    assert client.get(reverse("object", args=[here.uid])).status_code == 200
    other = MuseumObject.objects.get(object_number="HCM.2")
    assert client.get(reverse("object", args=[other.uid])).status_code == 403


def test_store_bays_are_shown_only_to_those_who_may_see_them() -> None:
    bay = make_place("Bay Seventeen", PlaceKind.STORE)
    stored = make_object(normal_location=bay)
    for role, shown in ((Role.REGISTRAR, True), (Role.EXHIBITION_MANAGER, False)):
        client = visitor(role)
        for address in (reverse("object", args=[stored.uid]), reverse("objects")):
            text = client.get(address).content.decode()
            assert ("Bay Seventeen" in text) is shown, (role, address)
            assert ("in store" in text) is not shown


def test_the_list_asks_the_same_number_of_questions_for_one_row_and_for_three() -> None:
    exhibition, client = make_exhibition(), visitor(Role.REGISTRAR)

    def add() -> None:
        stored = make_object()
        make_showing(museum_object=stored, exhibition=exhibition)
        ObjectHazard(museum_object=stored, hazard="lead", evidence="tested").keep(**kept_by())

    add()
    one = questions(client, reverse("objects"))
    add()
    add()
    assert questions(client, reverse("objects")) == one <= 25


def test_one_object_asks_the_same_number_of_questions_for_one_showing_and_for_three() -> None:
    stored, client = make_object(), visitor(Role.REGISTRAR)
    address = reverse("object", args=[stored.uid])

    def add() -> None:
        make_face(stored)
        make_showing(museum_object=stored, stage="returned")

    add()
    one = questions(client, address)
    add()
    add()
    assert questions(client, address) == one <= 61


def test_the_list_stands_in_the_order_a_person_reads_the_numbers() -> None:
    for number in ("HCM.1922.7.10", "HCM.1922.7.2", "HCM.1922.7.1"):
        make_object(object_number=number)
    lines = visitor(Role.REGISTRAR).get(reverse("objects")).context["lines"]
    found = [line.museum_object.object_number for line in lines]
    assert found == ["HCM.1922.7.1", "HCM.1922.7.2", "HCM.1922.7.10"]


def test_typing_narrows_the_list_without_the_frame_around_it() -> None:
    make_object(object_number="HCM.1", title="Kite")
    make_object(object_number="HCM.2", title="Barometer")
    client = visitor(Role.CURATOR)
    part = client.get(reverse("objects"), {"q": "kit"}, headers={"HX-Request": "true"})
    text = part.content.decode()
    assert "HCM.1" in text
    assert "HCM.2" not in text
    assert "<html" not in text
    whole = client.get(reverse("objects"), {"q": "kit"}).content.decode()
    assert "<html" in whole
    assert "HCM.2" not in whole


def test_what_people_write_is_never_run_as_markup() -> None:
    nasty = "<script>alert(1)</script><b>bold"
    stored = make_object(title=nasty, maker=nasty, handling_cautions=nasty)
    make_face(stored, label="front", landmark=nasty)
    client = visitor(Role.REGISTRAR)
    for address in (
        reverse("object", args=[stored.uid]),
        reverse("objects"),
        reverse("object-change", args=[stored.uid]),
        reverse("find") + "?q=script",
    ):
        text = client.get(address, follow=True).content.decode()
        assert "<script>alert" not in text
        assert "<b>bold" not in text
    assert "&lt;script&gt;alert" in text


def test_an_object_is_put_on_record_and_its_page_opens() -> None:
    client = visitor(Role.REGISTRAR)
    answer = client.post(reverse("object-new"), posted(), follow=True)
    stored = MuseumObject.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("object", args=[stored.uid])
    assert "HCM.1908.12 is on record." in answer.content.decode()


def test_a_refusal_stands_at_its_field_and_keeps_the_rest() -> None:
    make_object(object_number="HCM.1908.12")
    client = visitor(Role.REGISTRAR)
    answer = client.post(reverse("object-new"), posted(maker="Josiah Pell"))
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "object_number" in answer.context["form"].errors
    assert 'href="#id_object_number"' in text
    assert 'id="id_object_number_error"' in text
    assert 'value="Josiah Pell"' in text
    assert MuseumObject.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("weight_g", "heavy"),
        ("weight_g", "-3"),
        ("title", "x" * 301),
        ("handling_cautions", "x" * 241),
        ("orientation_rule", "sideways"),
        ("object_type", "999999"),
        ("sensitivity_class", "none"),
        ("normal_location", "00000000-0000-4000-8000-000000000000"),
        ("object_number", ""),
        ("title", "a\x00b"),
        ("materials", "9" * 20),
    ],
)
def test_bad_input_is_answered_at_its_field(field: str, value: str) -> None:
    answer = visitor(Role.REGISTRAR).post(reverse("object-new"), posted(**{field: value}))
    assert answer.status_code == 200
    assert field in answer.context["form"].errors
    assert not MuseumObject.objects.exists()


def test_a_stale_card_answers_409_with_both_texts_and_the_own_one_can_be_sent_again() -> None:
    stored = make_object(object_number="HCM.1908.12", title="Diary")
    client = visitor(Role.REGISTRAR)
    address = reverse("object-change", args=[stored.uid])
    seen = version_of(stored)
    client.post(address, posted(title="Theirs", version=seen, why="First."))
    answer = client.post(address, posted(title="Mine", version=seen, why="Second."))
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Theirs" in text
    assert ">Mine</textarea>" in text
    stored.refresh_from_db()
    assert stored.title == "Theirs"
    again = dict(answer.context["others"])
    client.post(address, {**again, "title": "Mine, read again"})
    stored.refresh_from_db()
    assert stored.title == "Mine, read again"


@pytest.mark.parametrize("name", ["object", *FORMS, "face-change", "hazard-end", "companion-end"])
def test_a_forged_id_is_not_found(name: str) -> None:
    client = visitor(Role.REGISTRAR)
    assert client.get(reverse(name, args=[uuid.uuid4()])).status_code == 404
    assert client.post(reverse(name, args=[uuid.uuid4()]), {"why": "x"}).status_code in (404, 405)


def test_two_faces_of_one_name_are_refused_on_the_form() -> None:
    stored = make_object()
    make_face(stored, label="front")
    answer = visitor(Role.CONSERVATOR).post(
        reverse("face-new", args=[stored.uid]),
        {"kind": "recto", "label": "Front", "landmark": "A tree"},
    )
    assert "label" in answer.context["form"].errors
    assert stored.faces.count() == 1


def test_a_companion_is_named_by_number_or_by_short_code() -> None:
    kite, string, reel = (make_object() for _ in range(3))
    client = visitor(Role.REGISTRAR)
    address = reverse("companion-new", args=[kite.uid])
    for typed in (string.object_number.lower(), f"{reel.code[:3]}-{reel.code[3:]}".lower()):
        client.post(address, {"companion": typed, "reason": "Flown together."})
    assert {bond.companion for bond in kite.companions.all()} == {string, reel}
    answer = client.post(address, {"companion": "HCM.nowhere", "reason": "x"})
    assert "companion" in answer.context["form"].errors


def test_a_card_written_by_form_carries_person_role_and_reason() -> None:
    stored = make_object(object_number="HCM.1908.12")
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    visitor(person=head).post(
        reverse("object-change", args=[stored.uid]),
        posted(version=version_of(stored), why="Title corrected."),
    )
    history: Any = stored.history
    last = history.latest()
    assert last.history_user == head
    assert last.history_role == "head_of_collections"
    assert last.history_change_reason == "Title corrected."


def test_somebody_of_two_roles_says_in_which_they_act() -> None:
    both = make_person(Role.CONSERVATOR, Role.REGISTRAR)
    client = visitor(person=both)
    assert 'name="acting_role"' in client.get(reverse("object-new")).content.decode()
    assert 'name="acting_role"' not in (
        visitor(Role.REGISTRAR).get(reverse("object-new")).content.decode()
    )
    for number, role in (("HCM.1", "registrar"), ("HCM.2", "conservator"), ("HCM.3", "steward")):
        form = posted(object_number=number, acting_role=role)
        client.post(reverse("object-new"), form)
        stored = MuseumObject.objects.get(object_number=number)
        history: Any = stored.history
        wanted = role if role != "steward" else "conservator"
        assert history.latest().history_role == wanted


def test_a_choice_that_differs_is_shown_in_words_and_sent_again_unchanged() -> None:
    stored = make_object(object_number="HCM.1908.12", title="Weather diary")
    client = visitor(Role.REGISTRAR)
    address = reverse("object-change", args=[stored.uid])
    seen = version_of(stored)
    client.post(address, posted(orientation_rule="upright_only", version=seen, why="First."))
    mine = posted(orientation_rule="flat_face_up", version=seen, why="Second.")
    answer = client.post(address, mine)
    assert answer.status_code == 409
    assert "upright only" in answer.content.decode()
    assert "flat, face up" in answer.content.decode()
    client.post(address, dict(answer.context["others"]))
    stored.refresh_from_db()
    assert stored.orientation_rule == "flat_face_up"
