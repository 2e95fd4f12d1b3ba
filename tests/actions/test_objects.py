"""An object's card: what is refused, what is kept with name, role and reason."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.objects import (
    Dimensions,
    FaceDetails,
    HazardDetails,
    ObjectDetails,
    add_component,
    add_face,
    add_object,
    add_other_number,
    change_face,
    change_object,
    end_companion,
    end_hazard,
    name_companion,
    note_hazard,
    set_dimensions,
)
from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FaceKind, Hazard, HazardEvidence, OwnerKind
from lifecycle.queries.changes import changes_of, version_of
from lifecycle.records.models import MeasuredState, MuseumObject, Organisation, Person, Vocabulary
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_class,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_word,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def registrar() -> Person:
    make_museum()
    return make_person(Role.REGISTRAR)


def card(**values: Any) -> ObjectDetails:
    base = ObjectDetails(
        object_number="HCM.1908.12",
        title="Weather diary of a parish clerk",
        object_type=make_word(Vocabulary.OBJECT_TYPE, "bound-manuscript"),
    )
    return replace(base, **values)


def face(**values: Any) -> FaceDetails:
    base = FaceDetails(kind=FaceKind.OPENING, label="ff. 31v-32r", landmark="“Rain by noon”")
    return replace(base, **values)


def refused_fields(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {reason.field for reason in refused.value.reasons}


def test_an_object_put_on_record_lies_in_its_normal_place(registrar: Person) -> None:
    shelf = make_place()
    made = add_object(by=registrar, role=Role.REGISTRAR, at=AT, details=card(normal_location=shelf))
    assert made.current_location == shelf
    last = changes_of(made)[0]
    assert (last.by, last.role, last.at) == (registrar.full_name, "registrar", AT)


def test_the_same_number_is_refused_whatever_its_case(registrar: Person) -> None:
    make_object(object_number="HCM.1908.12")
    with pytest.raises(Refused, match="already on record") as refused:
        add_object(
            by=registrar, role=Role.REGISTRAR, at=AT, details=card(object_number="hcm.1908.12 ")
        )
    assert refused_fields(refused) == {"object_number"}
    assert MuseumObject.objects.count() == 1


def test_every_reason_comes_at_once(registrar: Person) -> None:
    wrong = card(
        object_number=" ", title="", owner_kind=OwnerKind.LENDER, sensitivity_class=make_class()
    )
    with pytest.raises(Refused) as refused:
        add_object(by=registrar, role=Role.REGISTRAR, at=AT, details=wrong)
    assert refused_fields(refused) == {"object_number", "title", "lender", "class_basis"}


def test_an_object_of_the_museum_has_no_lender(registrar: Person) -> None:
    lender = Organisation(name="Thornby Observatory", kind="lender").keep(**kept_by())
    with pytest.raises(Refused) as refused:
        add_object(by=registrar, role=Role.REGISTRAR, at=AT, details=card(lender=lender))
    assert refused_fields(refused) == {"lender"}


@pytest.mark.parametrize("role", [Role.CURATOR, Role.ATTENDANT, Role.STEWARD, Role.TECHNICIAN])
def test_other_roles_keep_no_cards(role: Role) -> None:
    make_museum()
    someone = make_person(role)
    with pytest.raises(NotAllowed):
        add_object(by=someone, role=role, at=AT, details=card())
    assert not MuseumObject.objects.exists()


def test_a_stale_card_hands_back_both_texts(registrar: Person) -> None:
    stored = make_object(object_number="HCM.1908.12", title="Diary")
    seen = version_of(stored)
    change: dict[str, Any] = {
        "by": registrar,
        "role": Role.REGISTRAR,
        "at": AT,
        "why": "Title corrected.",
    }
    change_object(**change, museum_object=stored, details=card(title="Theirs"), version=seen)
    with pytest.raises(Conflict) as conflict:
        change_object(**change, museum_object=stored, details=card(title="Mine"), version=seen)
    assert conflict.value.theirs["title"] == "Theirs"
    assert conflict.value.mine["title"] == "Mine"
    assert conflict.value.by == registrar.full_name
    again = conflict.value.version
    done = change_object(**change, museum_object=stored, details=card(title="Mine"), version=again)
    assert done.title == "Mine"


def test_a_change_needs_a_reason(registrar: Person) -> None:
    stored = make_object(object_number="HCM.1908.12")
    with pytest.raises(Refused) as refused:
        change_object(
            by=registrar,
            role=Role.REGISTRAR,
            at=AT,
            museum_object=stored,
            details=card(),
            version=version_of(stored),
            why=" ",
        )
    assert refused_fields(refused) == {"why"}


@pytest.mark.parametrize(
    ("role", "community", "refused"),
    [
        (Role.CONSERVATOR, "", True),
        (Role.CONSERVATOR, "Halse Moor families", True),
        (Role.CONSERVATOR, "tern ferry  Families", False),
        (Role.REGISTRAR, "", False),
        (Role.HEAD_OF_COLLECTIONS, "Halse Moor families", False),
    ],
)
def test_only_who_registers_takes_a_source_community_off_or_names_another(
    role: Role, community: str, refused: bool
) -> None:
    stored = make_object(object_number="HCM.1908.12", source_community="Tern Ferry families")
    change: dict[str, Any] = {"by": make_person(role), "role": role, "at": AT, "why": "Agreed so."}
    change |= {"museum_object": stored, "version": version_of(stored)}
    if not refused:
        changed = change_object(**change, details=card(source_community=community))
        assert changed.source_community == community
        return
    with pytest.raises(Refused, match="“Tern Ferry families” is asked before any") as told:
        change_object(**change, details=card(source_community=community, title=""))
    assert refused_fields(told) == {"title", "source_community"}, "both at once"
    with pytest.raises(Conflict):
        change_object(**change | {"version": 0}, details=card(source_community=community))


def test_a_conservator_names_the_first_community_of_an_object() -> None:
    stored = make_object(object_number="HCM.1908.12")
    changed = change_object(
        by=make_person(Role.CONSERVATOR),
        role=Role.CONSERVATOR,
        at=AT,
        museum_object=stored,
        details=card(source_community="Tern Ferry families"),
        version=version_of(stored),
        why="Agreed in May.",
    )
    assert changed.source_community == "Tern Ferry families"


def test_the_change_form_never_moves_the_object(registrar: Person) -> None:
    stored = make_object()
    here, other = stored.current_location, make_place()
    change_object(
        by=registrar,
        role=Role.REGISTRAR,
        at=AT,
        museum_object=stored,
        details=card(normal_location=other),
        version=version_of(stored),
        why="New home.",
    )
    stored.refresh_from_db()
    assert (stored.normal_location, stored.current_location) == (other, here)


def test_two_faces_of_one_name_are_refused(registrar: Person) -> None:
    stored = make_object()
    acting: dict[str, Any] = {"by": registrar, "role": Role.REGISTRAR, "at": AT}
    first = add_face(**acting, museum_object=stored, details=face())
    with pytest.raises(Refused, match="already has a face") as refused:
        add_face(**acting, museum_object=stored, details=face(label="FF. 31V-32R "))
    assert refused_fields(refused) == {"label"}
    second = add_face(**acting, museum_object=stored, details=face(label="ff. 88v-89r"))
    assert (first.order, second.order) == (1, 2)
    with pytest.raises(Refused):
        change_face(**acting, face=second, details=face(), why="Mistyped.")


def test_the_same_name_on_another_object_is_fine(registrar: Person) -> None:
    make_face(make_object(), label="front")
    made = add_face(
        by=registrar,
        role=Role.REGISTRAR,
        at=AT,
        museum_object=make_object(),
        details=face(label="front"),
    )
    assert made.label == "front"


def test_a_face_never_shown_says_why(registrar: Person) -> None:
    with pytest.raises(Refused) as refused:
        add_face(
            by=registrar,
            role=Role.REGISTRAR,
            at=AT,
            museum_object=make_object(),
            details=face(never_show=True, max_opening_angle=361, landmark=""),
        )
    assert refused_fields(refused) == {"never_show_reason", "max_opening_angle", "landmark"}


def test_a_hazard_found_ends_none_known(registrar: Person) -> None:
    stored = make_object()
    acting: dict[str, Any] = {"by": registrar, "role": Role.REGISTRAR, "at": AT}
    none = HazardDetails(hazard=Hazard.NONE_KNOWN, evidence=HazardEvidence.NONE_FOUND)
    mercury = HazardDetails(hazard=Hazard.MERCURY_LIQUID, evidence=HazardEvidence.TESTED)
    note_hazard(**acting, museum_object=stored, details=none)
    found = note_hazard(**acting, museum_object=stored, details=mercury)
    assert [row.hazard for row in stored.hazards.filter(ended_on=None)] == ["mercury_liquid"]
    with pytest.raises(Refused) as refused:
        note_hazard(**acting, museum_object=stored, details=none)
    assert refused_fields(refused) == {"hazard"}
    with pytest.raises(Refused):
        end_hazard(**acting, hazard=found, why="")
    ended = end_hazard(**acting, hazard=found, why="The tube was emptied.")
    assert ended.ended_on == DAY


def test_none_found_is_no_evidence_for_a_hazard(registrar: Person) -> None:
    wrong = HazardDetails(hazard=Hazard.LEAD, evidence=HazardEvidence.NONE_FOUND)
    with pytest.raises(Refused) as refused:
        note_hazard(
            by=registrar, role=Role.REGISTRAR, at=AT, museum_object=make_object(), details=wrong
        )
    assert refused_fields(refused) == {"evidence"}


def test_a_second_size_of_one_state_replaces_the_first_and_stays_in_history(
    registrar: Person,
) -> None:
    stored = make_object()
    for height in (Decimal("320"), Decimal("324")):
        row = set_dimensions(
            by=registrar,
            role=Role.REGISTRAR,
            at=AT,
            museum_object=stored,
            size=Dimensions(state=MeasuredState.CLOSED, height_mm=height, width_mm=Decimal("205")),
        )
    assert stored.measures.count() == 1
    assert version_of(row) == 2
    with pytest.raises(Refused) as refused:
        set_dimensions(
            by=registrar,
            role=Role.REGISTRAR,
            at=AT,
            museum_object=stored,
            size=Dimensions(
                state=MeasuredState.OPEN, height_mm=Decimal("-1"), width_mm=Decimal("0")
            ),
        )
    assert refused_fields(refused) == {"height_mm", "width_mm"}


def test_companions_are_two_objects_named_once(registrar: Person) -> None:
    kite, string = make_object(), make_object()
    acting: dict[str, Any] = {"by": registrar, "role": Role.REGISTRAR, "at": AT}
    bond = name_companion(**acting, museum_object=kite, companion=string, reason="Flown together.")
    for one, other in ((kite, string), (string, kite), (kite, kite)):
        with pytest.raises(Refused) as refused:
            name_companion(**acting, museum_object=one, companion=other, reason="Again.")
        assert refused_fields(refused) == {"companion"}
    end_companion(**acting, companionship=bond, why="Shown apart.")
    name_companion(**acting, museum_object=string, companion=kite, reason="Together again.")


def test_components_and_numbers_are_not_written_twice(registrar: Person) -> None:
    stored = make_object()
    acting: dict[str, Any] = {
        "by": registrar,
        "role": Role.REGISTRAR,
        "at": AT,
        "museum_object": stored,
    }
    add_component(**acting, label="loose leaf")
    with pytest.raises(Refused):
        add_component(**acting, label="Loose leaf")
    add_other_number(**acting, kind="old", number="MS 41")
    with pytest.raises(Refused):
        add_other_number(**acting, kind="Old", number="ms 41")
