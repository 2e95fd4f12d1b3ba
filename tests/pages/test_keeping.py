"""Pages of places, people, house rules, words and exhibitions: rights, queries, refusals."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from lifecycle.pages.rules.gate_forms import start_of_gates
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.changes import version_of
from lifecycle.queries.rules import GatesSaid
from lifecycle.records.models import Exhibition, HouseRules, Person, Place, RoleAssignment, Word
from tests.builders.core import (
    make_class,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db

STAFF = [role for role in Role if role not in (Role.COURIER, Role.LENDER)]
KEEPERS: dict[str, set[Role]] = {
    "place-new": {Role.STEWARD, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS},
    "people": {Role.STEWARD},
    "person-new": {Role.STEWARD},
    "vocabularies": {Role.STEWARD},
    "house-rules": set(STAFF),
    "house-rules-new": {Role.HEAD_OF_COLLECTIONS},
    "class-new": {Role.HEAD_OF_COLLECTIONS},
    "exhibition-new": {Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS},
    "me": set(STAFF),
}


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


@pytest.mark.parametrize("role", STAFF)
def test_each_page_opens_for_its_roles_alone(role: Role) -> None:
    client = visitor(role)
    for name, roles in KEEPERS.items():
        answer = client.get(reverse(name))
        assert answer.status_code == (200 if role in roles else 403), name


@pytest.mark.parametrize(
    "name",
    [
        "place",
        "place-change",
        "place-close",
        "point-new",
        "point-retire",
        "exhibition-change",
        "exhibition-dates",
        "exhibition-state",
    ],
)
def test_a_forged_id_of_a_place_or_exhibition_is_not_found(name: str) -> None:
    assert visitor(Role.REGISTRAR).get(reverse(name, args=[uuid.uuid4()])).status_code == 404


@pytest.mark.parametrize(
    "name",
    [
        "person",
        "person-change",
        "role-new",
        "role-end",
        "deputy-new",
        "deputy-end",
        "pass-new",
        "pass-end",
        "account-open",
        "sign-in-link",
        "account-identity",
        "account-back",
        "leaving",
        "word-change",
        "word-retire",
    ],
)
def test_a_forged_id_of_a_person_or_word_is_not_found(name: str) -> None:
    assert visitor(Role.STEWARD).get(reverse(name, args=[uuid.uuid4()])).status_code == 404


class TestPlaces:
    def test_the_tree_is_read_in_one_go(self) -> None:
        site, client = make_place("Museum", PlaceKind.SITE), visitor(Role.REGISTRAR)

        def add(number: int) -> None:
            room = make_place(f"Room {number}", PlaceKind.ROOM, parent=site)
            make_place(f"Case {number}", PlaceKind.CASE, parent=room)

        add(1)
        one = questions(client, reverse("places"))
        add(2)
        add(3)
        assert questions(client, reverse("places")) == one <= 18

    def test_store_bays_are_closed_to_those_who_may_not_see_them(self) -> None:
        store = make_place("Store Seventeen", PlaceKind.STORE)
        for role, status in ((Role.REGISTRAR, 200), (Role.ATTENDANT, 403)):
            client = visitor(role)
            assert client.get(reverse("place", args=[store.uid])).status_code == status
            text = client.get(reverse("places")).content.decode()
            assert ("Store Seventeen" in text) is (status == 200)

    def test_the_note_on_the_lock_is_for_keepers(self) -> None:
        case = make_place("N4", PlaceKind.CASE, lock_note="Key in safe two")
        for role, shown in ((Role.REGISTRAR, True), (Role.CURATOR, False)):
            text = visitor(role).get(reverse("place", args=[case.uid])).content.decode()
            assert ("Key in safe two" in text) is shown

    def test_a_case_lists_what_lies_in_its_positions(self) -> None:
        case = make_place("N4", PlaceKind.CASE)
        position = make_place("N4 left", PlaceKind.POSITION, parent=case)
        make_object(object_number="HCM.1", current_location=position)
        text = visitor(Role.CURATOR).get(reverse("place", args=[case.uid])).content.decode()
        assert "HCM.1" in text
        assert case.code in text

    def test_a_place_is_added_inside_another(self) -> None:
        room = make_place("North Gallery", PlaceKind.ROOM)
        client = visitor(Role.STEWARD)
        form = {"name": "N9", "kind": "case", "parent": str(room.uid)}
        client.post(reverse("place-new"), form)
        assert Place.objects.get(name="N9").parent == room
        again = client.post(reverse("place-new"), form)
        assert "name" in again.context["form"].errors

    def test_what_somebody_typed_never_says_where_the_page_goes_next(self) -> None:
        kept = visitor(Role.STEWARD).post(
            reverse("place-new"), {"name": "N9|//elsewhere.example", "kind": "case"}
        )
        assert kept.status_code == 302
        assert kept["Location"] == reverse("place", args=[Place.objects.get().uid])


class TestPeople:
    def test_the_list_asks_the_same_number_of_questions_for_one_and_for_three(self) -> None:
        client = visitor(Role.STEWARD)
        make_person(Role.CONSERVATOR)
        one = questions(client, reverse("people"))
        make_person(Role.CONSERVATOR)
        make_person(Role.CURATOR)
        assert questions(client, reverse("people")) == one <= 20

    def test_a_person_gets_a_role_and_an_account_through_the_forms(self) -> None:
        client = visitor(Role.STEWARD)
        client.post(reverse("person-new"), {"full_name": "Gil Farrow"})
        someone = Person.objects.get(full_name="Gil Farrow")
        gallery = make_place("North Gallery", PlaceKind.ROOM)
        today = timezone.localdate()
        role = {
            "given": "attendant",
            "from_on": today.isoformat(),
            "galleries": [str(gallery.uid)],
            "trained": "on",
        }
        client.post(reverse("role-new", args=[someone.uid]), role)
        account = {"username": "gil", "how": "person"}
        client.post(reverse("account-open", args=[someone.uid]), account)
        someone.refresh_from_db()
        assert someone.account is not None
        row = RoleAssignment.objects.get(person=someone)
        assert (row.role, row.trained, list(row.galleries.all())) == ("attendant", True, [gallery])
        assert visitor(person=someone).get(reverse("me")).status_code == 200

    def test_a_colleague_is_on_record_with_roles_and_a_link_by_one_form(self) -> None:
        client = visitor(Role.STEWARD)
        sent = {"full_name": "Marit Oldacre", "roles": ["conservator"], "username": "marit"}
        answer = client.post(reverse("person-new"), sent).content.decode()
        someone = Person.objects.get(full_name="Marit Oldacre")
        assert RoleAssignment.objects.get(person=someone).role == "conservator"
        assert "/account/password/reset/key/" in answer
        again = client.post(reverse("person-new"), sent | {"full_name": "Gil Farrow"})
        assert "username" in again.context["form"].errors
        assert not Person.objects.filter(full_name="Gil Farrow").exists()

    def test_impossible_days_are_answered_at_the_field(self) -> None:
        someone = make_person()
        client = visitor(Role.STEWARD)
        for day in ("2026-02-30", "yesterday", "99999-01-01", ""):
            answer = client.post(
                reverse("role-new", args=[someone.uid]), {"given": "curator", "from_on": day}
            )
            assert "from_on" in answer.context["form"].errors
        span = {"given": "curator", "from_on": "2026-03-02", "until_on": "2026-03-01"}
        answer = client.post(reverse("role-new", args=[someone.uid]), span)
        assert "until_on" in answer.context["form"].errors
        assert not someone.roles.exists()

    def test_a_password_never_comes_back_on_the_page(self) -> None:
        typed = {"oldpassword": "long enough 42", "password1": "secret12", "password2": "secret12"}
        answer = visitor(Role.CURATOR).post(reverse("account_change_password"), typed)
        assert "password1" in answer.context["form"].errors
        assert "secret12" not in answer.content.decode()

    def test_everybody_sets_their_own_letter(self) -> None:
        someone = make_person(Role.CURATOR)
        visitor(person=someone).post(reverse("me"), {"letter_hour": "6", "zone": "Europe/Oslo"})
        someone.refresh_from_db()
        assert (someone.letter_hour, someone.zone) == (6, "Europe/Oslo")
        answer = visitor(person=someone).post(reverse("me"), {"letter_hour": "25", "zone": "Mars"})
        assert set(answer.context["form"].errors) == {"letter_hour", "zone"}


class TestRules:
    def posted(self, **values: Any) -> dict[str, Any]:
        tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
        rules = {
            "follows": "3",
            "valid_from": tomorrow,
            "source": "Invented.",
            "fresh_look_months": "6",
            "consent_lapses_months": "12",
            "charge_lab_light_above_percent": "1",
            "travel_days": "2",
            "second_factor": "not_asked",
            "second_factor_grace_days": "14",
        }
        limits = {
            "high-in_use": "on",
            "high-max_lux": "50",
            "high-allowance_lx_h": "75000",
            "high-window_years": "5",
            "high-rest_months": "36",
            "high-reading_every_days": "28",
            "high-look_every_days": "14",
            "high-turn_needed_above_percent": "50",
            "high-source": "Common practice.",
        }
        gates = start_of_gates(GatesSaid())
        return {**rules, **limits, **gates, **values}

    def test_the_form_starts_from_the_last_version(self) -> None:
        make_class(max_lux=47)
        text = visitor(Role.HEAD_OF_COLLECTIONS).get(reverse("house-rules-new")).content.decode()
        assert 'value="47"' in text

    def test_a_version_is_approved_and_shown(self) -> None:
        make_class()
        client = visitor(Role.HEAD_OF_COLLECTIONS)
        answer = client.post(reverse("house-rules-new"), self.posted(), follow=True)
        made = HouseRules.objects.get(version=4)
        assert made.approved_by is not None
        assert "Version 4 of the house rules is approved" in answer.content.decode()
        assert made.approved_by.full_name in answer.content.decode()

    def test_a_figure_missing_is_named_and_the_rest_is_kept(self) -> None:
        make_class()
        answer = visitor(Role.HEAD_OF_COLLECTIONS).post(
            reverse("house-rules-new"),
            self.posted(**{"high-max_lux": "", "high-allowance_lx_h": "61000"}),
        )
        part = answer.context["parts"][0][1]
        assert "max_lux" in part.errors
        assert 'value="61000"' in answer.content.decode()
        assert HouseRules.objects.count() == 1

    def test_a_stale_version_is_said_and_can_be_approved_again(self) -> None:
        make_class()
        client = visitor(Role.HEAD_OF_COLLECTIONS)
        client.post(reverse("house-rules-new"), self.posted())
        answer = client.post(reverse("house-rules-new"), self.posted())
        assert "while you were writing" in answer.content.decode()
        assert answer.context["follows"] == 4
        client.post(reverse("house-rules-new"), self.posted(follows="4"))
        assert HouseRules.objects.count() == 3

    def test_an_unknown_version_is_answered(self) -> None:
        make_class()
        client = visitor(Role.CURATOR)
        for asked in ("99", "x", "-1", "9" * 40):
            assert client.get(reverse("house-rules"), {"version": asked}).status_code == 200


class TestWords:
    def test_a_word_is_added_changed_retired_and_brought_back(self) -> None:
        client = visitor(Role.STEWARD)
        client.post(reverse("word-new", args=["material"]), {"label": "laid paper"})
        word = Word.objects.get(label="laid paper")
        client.post(reverse("word-retire", args=[word.uid]), {"why": "Too rough."})
        word.refresh_from_db()
        assert word.retired_on is not None
        assert client.get(reverse("word-back", args=[word.uid])).status_code == 405
        client.post(reverse("word-back", args=[word.uid]))
        word.refresh_from_db()
        assert word.retired_on is None
        assert len({one.history_role for one in word.history.all()}) == 1

    def test_a_list_that_does_not_exist_is_not_found(self) -> None:
        assert visitor(Role.STEWARD).get("/vocabularies/weather/").status_code == 404

    @pytest.mark.parametrize("role", [role for role in STAFF if role is not Role.STEWARD])
    def test_other_roles_change_no_words(self, role: Role) -> None:
        word = make_word("material", "laid-paper")  # type: ignore[arg-type]
        client = visitor(role)
        for name in ("word-change", "word-retire", "word-back"):
            assert client.post(reverse(name, args=[word.uid]), {"why": "x"}).status_code == 403


class TestExhibitions:
    def posted(self, **values: Any) -> dict[str, Any]:
        base = {
            "short": "RBN26",
            "title": "Rain by Noon",
            "install_from": "2026-09-01",
            "opens": "2026-09-12",
            "closes": "2027-01-10",
            "deinstall_until": "2027-01-22",
            "closed_weekdays": ["0"],
            "extra_closed_days": "2026-12-25\n2026-12-26",
        }
        return {**base, **values}

    def test_an_exhibition_is_planned(self) -> None:
        visitor(Role.REGISTRAR).post(reverse("exhibition-new"), self.posted())
        made = Exhibition.objects.get()
        assert made.closed_weekdays == [0]
        assert made.extra_closed_days == ["2026-12-25", "2026-12-26"]

    @pytest.mark.parametrize(
        ("field", "value"),
        [
            ("opens", "2026-08-31"),
            ("closes", "2026-09-11"),
            ("deinstall_until", "2027-01-09"),
            ("closed_weekdays", ["7"]),
            ("extra_closed_days", "Christmas"),
            ("title", ""),
            ("install_from", "2026-13-01"),
        ],
    )
    def test_bad_input_is_answered_at_its_field(self, field: str, value: Any) -> None:
        answer = visitor(Role.REGISTRAR).post(
            reverse("exhibition-new"), self.posted(**{field: value})
        )
        assert field in answer.context["form"].errors
        assert not Exhibition.objects.exists()

    def test_postponing_says_what_moved(self) -> None:
        exhibition = make_exhibition()
        make_showing(exhibition=exhibition)
        later = {
            "install_from": "2026-03-09",
            "opens": "2026-03-21",
            "closes": "2026-09-13",
            "deinstall_until": "2026-09-25",
            "why": "The roof is not closed.",
        }
        address = reverse("exhibition-dates", args=[exhibition.uid])
        answer = visitor(Role.REGISTRAR).post(address, later, follow=True)
        assert "1 showings and 0 planned days went with them" in answer.content.decode()
        exhibition.refresh_from_db()
        assert exhibition.opens.isoformat() == "2026-03-21"

    def test_a_stale_form_answers_409(self) -> None:
        exhibition = make_exhibition(title="Rain")
        seen = version_of(exhibition)
        client = visitor(Role.REGISTRAR)
        address = reverse("exhibition-change", args=[exhibition.uid])
        form = {"short": "R1", "title": "Theirs", "why": "x", "version": seen}
        assert client.post(address, form).status_code == 302
        stale = client.post(address, {**form, "title": "Mine"})
        assert stale.status_code == 409
        assert "Theirs" in stale.content.decode()


class TestInUse:
    def test_what_is_not_used_yet_says_how_it_begins_to_those_who_may(self) -> None:
        text = visitor(Role.REGISTRAR).get(reverse("in-use")).content.decode()
        assert "Put a loan on record" in text
        assert "Add a sensitivity class" not in text
        assert "not in use" in text

    def test_a_first_class_brings_light_into_the_navigation(self) -> None:
        client = visitor(Role.REGISTRAR)
        before = client.get(reverse("me")).content.decode()
        make_class()
        after = client.get(reverse("me")).content.decode()
        assert ">Light</a>" not in before
        assert ">Light</a>" in after
