"""Captions, light with a dummy, routes and housing."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.light import report_light_event
from lifecycle.actions.preparation.captions import approve_caption, write_caption
from lifecycle.actions.preparation.cases import (
    check_route,
    prove_light,
)
from lifecycle.actions.preparation.housing import (
    change_housing,
    housing_ordered_or_made,
    label_housing,
    put_housing_aside,
    try_housing,
)
from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.process.facts.preparation import PreparationFacts
from lifecycle.process.gates.preparing import light_is_under_the_ceiling
from lifecycle.process.stages import Role
from lifecycle.process.words import Orientation
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.preparation import housing_refusals, preparation_facts_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import Component, DisplayPeriod, ReadingPoint, Vocabulary
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.light import ChangeOfLight
from lifecycle.records.models.preparation import (
    Board,
    Housing,
    LightProof,
    OldNotes,
)
from tests.builders.core import AT, DAY, kept_by, make_person, make_place, make_word
from tests.builders.preparation import Workshop, make_meter
from tests.builders.treatment import HOUR

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def facts(shop: Workshop) -> PreparationFacts:
    return preparation_facts_of([shop.showing], clock_at(AT + 9 * HOUR))[shop.showing.pk]


def write(shop: Workshop, text: str = "Weather diary, 1741.", **values: Any) -> Any:
    values.setdefault("face", None)
    return write_caption(**shop.curator(), showing=shop.showing, text=text, **values)


def test_a_caption_counts_when_the_curator_approved_the_text_they_read(shop: Workshop) -> None:
    caption = write(shop)
    assert not facts(shop).caption.approved
    with pytest.raises(NotAllowed):
        approve_caption(**shop.conservator(), caption=caption, edition=1)
    approve_caption(**shop.curator(), caption=caption, edition=1)
    assert facts(shop).caption.approved


def test_a_changed_caption_has_to_be_read_and_approved_again(shop: Workshop) -> None:
    approve_caption(**shop.curator(), caption=write(shop), edition=1)
    changed = write(shop, "Weather diary, 1742.", edition=1)
    assert not facts(shop).caption.approved
    with pytest.raises(Refused, match="read it again"):
        approve_caption(**shop.curator(), caption=changed, edition=1)


def test_two_people_on_one_caption_both_keep_their_text(shop: Workshop) -> None:
    write(shop)
    with pytest.raises(Conflict) as conflict:
        write(shop, "Mine.", edition=0)
    assert conflict.value.theirs["text"] == "Weather diary, 1741."
    assert conflict.value.mine["text"] == "Mine."


def test_where_a_facsimile_is_shown_the_caption_says_so(shop: Workshop) -> None:
    caption = write(shop)
    approve_caption(**shop.curator(), caption=caption, edition=1)
    shop.facsimile()
    assert not facts(shop).caption.facsimile_worded
    changed = write(shop, edition=1)
    with pytest.raises(Refused, match="the caption has to say so"):
        approve_caption(**shop.curator(), caption=changed, edition=2)
    worded = write(shop, edition=2, facsimile_wording="Beside it a facsimile of opening B.")
    approve_caption(**shop.curator(), caption=worded, edition=3)
    assert facts(shop).caption.facsimile_worded


@pytest.mark.parametrize(
    ("values", "field"),
    [({"text": "  "}, "text"), ({"facsimile_wording": "A copy."}, "facsimile_wording")],
)
def test_a_caption_says_something_true(shop: Workshop, values: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refused:
        write(shop, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]


def prove(shop: Workshop, lux: int = 45, **values: Any) -> LightProof:
    values.setdefault("place", shop.place)
    values.setdefault("point", None)
    values.setdefault("uv", Decimal(8))
    values.setdefault("with_dummy", True)
    values.setdefault("lamp_state", "As in the show.")
    values.setdefault("observed_at", AT)
    if "instrument" not in values:
        values["instrument"] = make_meter()
    return prove_light(
        **shop.conservator(),
        exhibition=shop.exhibition,
        lux=Decimal(lux),
        **values,
    )


def test_a_light_proof_is_kept_with_the_ceiling_that_bound_then(shop: Workshop) -> None:
    """50 lx and 10 µW/lm for class High are the demo museum's house rules v3."""
    row = prove(shop)
    assert (row.ceiling_lux, row.ceiling_uv) == (50, 10)
    assert shop.thing.object_number in row.ceiling_because
    seen = facts(shop).light_proof
    assert seen is not None
    assert (seen.lux, seen.uv) == (Decimal(45), Decimal(8))


def test_a_value_above_the_ceiling_is_a_true_reading_and_is_kept(shop: Workshop) -> None:
    prove(shop, lux=80)
    seen = facts(shop).light_proof
    assert seen is not None
    assert seen.lux == 80


def test_without_a_dummy_nothing_is_proven(shop: Workshop) -> None:
    prove(shop, with_dummy=False)
    assert facts(shop).light_proof is None


def test_light_is_measured_at_each_reading_point_of_the_place(shop: Workshop) -> None:
    a, b = (
        ReadingPoint(place=shop.place, letter=letter, label="middle").keep(**kept_by())
        for letter in "AB"
    )
    meter = prove(shop, point=a).instrument
    said = facts(shop)
    assert (said.light_proof, said.light_missing) == (None, f"point B of {shop.place.name}")
    (reason,) = light_is_under_the_ceiling(facts_of_one(shop.showing, AT))
    assert (reason.code, f"at point B of {shop.place.name}" in reason.text) == ("light.proof", True)
    prove(shop, point=None, instrument=meter)
    assert facts(shop).light_missing == f"point B of {shop.place.name}"
    prove(shop, lux=48, point=b, instrument=meter)
    seen = facts(shop).light_proof
    assert seen is not None
    assert seen.lux == 48
    ReadingPoint(place=shop.place, letter="C", label="left", retired_on=DAY).keep(**kept_by())
    assert facts(shop).light_proof is not None
    for letter in "DEF":
        ReadingPoint(place=shop.place, letter=letter, label="top").keep(**kept_by())
    assert facts(shop).light_missing == f"points D, E and F of {shop.place.name}"


def test_of_a_place_with_one_point_a_reading_there_is_one_at_the_point(shop: Workshop) -> None:
    ReadingPoint(place=shop.place, letter="A", label="middle").keep(**kept_by())
    prove(shop)
    assert facts(shop).light_proof is not None


def test_a_later_change_of_the_lamps_voids_the_proof(shop: Workshop) -> None:
    prove(shop)
    report_light_event(
        **shop.conservator(after=2),
        place=shop.place,
        what=ChangeOfLight.LAMP_REPLACED,
        from_at=AT + HOUR,
    )
    assert facts(shop).light_proof is None


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"lux": -1}, "lux"),
        ({"uv": Decimal(-1)}, "uv"),
        ({"observed_at": AT + HOUR}, "observed_at"),
        ({"lamp_state": " "}, "lamp_state"),
    ],
)
def test_a_reading_that_cannot_be_true_is_refused(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        prove(shop, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]


def walk(shop: Workshop, **values: Any) -> Any:
    values.setdefault("to_place", shop.place)
    values.setdefault("people", 2)
    values.setdefault("equipment", "Tray.")
    values.setdefault("doors_lifts", "Lift 2, doors held open.")
    values.setdefault("hazards_read", True)
    values.setdefault("observed_at", AT)
    return check_route(**shop.conservator(), showing=shop.showing, **values)


def test_a_route_is_walked_to_the_planned_place_or_it_proves_nothing(shop: Workshop) -> None:
    walk(shop, to_place=make_place())
    assert not facts(shop).route.walked
    walk(shop)
    seen = facts(shop).route
    assert (seen.walked, seen.people, seen.hazards_read) == (True, 2, True)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"people": 0}, "people"),
        ({"equipment": ""}, "equipment"),
        ({"doors_lifts": " "}, "doors_lifts"),
        ({"hazards_read": False}, "hazards_read"),
        ({"observed_at": AT + HOUR}, "observed_at"),
    ],
)
def test_a_route_says_how_and_reads_the_hazards(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        walk(shop, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]


def fit_housing(shop: Workshop, row: Housing, *, fits: bool = True, **values: Any) -> Housing:
    if row.made_on is None:
        housing_ordered_or_made(
            **shop.conservator(), housing=row, made_on=DAY, made_by="Marit Oldacre"
        )
    values.setdefault("tried_at", AT)
    return try_housing(**shop.conservator(), housing=row, fits=fits, **values)


def refusals(shop: Workshop) -> list[str]:
    return housing_refusals([shop.thing.pk], AT)


def test_specified_made_and_tried_with_the_object_it_is_housed(shop: Workshop) -> None:
    row = shop.housing()
    assert refusals(shop)[0].startswith("not housed (1 of 1)")
    with pytest.raises(Refused, match="not made yet"):
        try_housing(**shop.conservator(), housing=row, fits=True, tried_at=AT)
    fit_housing(shop, row)
    assert refusals(shop) == []
    assert facts(shop).housing.fits
    assert not facts(shop).housing.label_printed
    label_housing(**shop.conservator(), housing=row, says="In pencil: 1 diary.")
    assert facts(shop).housing.label_printed


def test_a_housing_that_does_not_fit_says_what_and_does_not_count(shop: Workshop) -> None:
    row = shop.housing()
    with pytest.raises(Refused, match="what does not fit"):
        fit_housing(shop, row, fits=False)
    fit_housing(shop, Housing.objects.get(pk=row.pk), fits=False, note="Too shallow.")
    assert refusals(shop)


def test_a_changed_specification_has_to_be_tried_again(shop: Workshop) -> None:
    row = shop.housing()
    fit_housing(shop, row)
    changed = change_housing(
        **shop.conservator(), housing=row, edition=1, wanted=shop.wanted(closure="Ribbon")
    )
    assert changed.fits is None
    assert refusals(shop)
    with pytest.raises(Conflict):
        change_housing(**shop.conservator(), housing=row, edition=1, wanted=shop.wanted())


def test_cyanotypes_on_alkaline_board_ask_for_a_reason() -> None:
    """Worry about alkaline reserve is mostly for cyanotypes: published advice; our rule warns."""
    shop = Workshop()
    shop.thing.techniques.add(make_word(Vocabulary.TECHNIQUE, "cyanotype"))
    alkaline = shop.wanted(board=Board.ALKALINE_RESERVE)
    with pytest.raises(Refused) as refused:
        shop.housing(wanted=alkaline)
    assert [reason.code for reason in refused.value.reasons] == ["housing.board"]
    reasoned = shop.wanted(board=Board.ALKALINE_RESERVE, board_reason="Only what is there.")
    assert shop.housing(wanted=reasoned).board_reason


@pytest.mark.parametrize("rule", [Orientation.UPRIGHT_ONLY, Orientation.FLAT_FACE_UP])
def test_a_housing_keeps_the_object_the_way_it_has_to_lie(rule: Orientation) -> None:
    """A barometer that is laid flat spills its mercury."""
    shop = Workshop(orientation_rule=rule.value)
    for wrong in {Orientation.ANY, Orientation.FLAT_FACE_DOWN}:
        with pytest.raises(Refused) as refused:
            shop.housing(wanted=shop.wanted(orientation=wrong))
        assert [reason.field for reason in refused.value.reasons] == ["orientation"]
    assert shop.housing(wanted=shop.wanted(orientation=rule)).orientation == rule


def test_it_is_tried_with_the_object_present_and_after_it_was_made(shop: Workshop) -> None:
    row = shop.housing()
    with pytest.raises(Refused, match="was made on"):
        fit_housing(shop, row, tried_at=AT - timedelta(days=1))
    period = DisplayPeriod(
        museum_object=shop.thing,
        face=shop.a,
        showing=shop.showing,
        place=shop.place,
        opened_by=PeriodOpening.INSTALL,
        opened_at=AT - timedelta(days=9),
    ).keep(**kept_by())
    row.refresh_from_db()
    with pytest.raises(Refused, match="with the object present"):
        fit_housing(shop, row)
    period.closed_at = AT - HOUR
    period.keep(**kept_by())
    fit_housing(shop, row)
    assert facts(shop).housing.fits


def test_each_component_counts_unless_one_housing_holds_them_all(shop: Workshop) -> None:
    leaf = Component(museum_object=shop.thing, label="loose leaf").keep(**kept_by())
    Component(museum_object=shop.thing, label="string").keep(**kept_by())
    fit_housing(shop, shop.housing(component=leaf))
    assert refusals(shop)[0].startswith("not housed (1 of 2)")
    assert facts(shop).housing.not_housed == ("string",)
    fit_housing(shop, shop.housing())
    assert refusals(shop) == []


def test_one_housing_at_a_time_is_in_use(shop: Workshop) -> None:
    row = shop.housing()
    with pytest.raises(Refused, match="is in use for it"):
        shop.housing()
    put_housing_aside(**shop.conservator(), housing=row, why="Crushed.")
    assert shop.housing().pk != row.pk


def test_old_notes_are_evidence(shop: Workshop) -> None:
    row = shop.housing()
    with pytest.raises(Refused) as refused:
        fit_housing(shop, row, old_notes=OldNotes.PHOTOGRAPHED)
    assert [reason.field for reason in refused.value.reasons] == ["old_notes_kept"]


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({}, "ordered_on"),
        ({"made_on": DAY}, "made_by"),
        ({"made_on": DAY + timedelta(days=1), "made_by": "x"}, "made_on"),
        ({"ordered_on": DAY, "made_on": date(2026, 5, 1), "made_by": "x"}, "made_on"),
    ],
)
def test_days_of_ordering_and_making_make_sense(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        housing_ordered_or_made(**shop.conservator(), housing=shop.housing(), **values)
    assert field in {reason.field for reason in refused.value.reasons}


@pytest.mark.parametrize("role", [Role.CURATOR, Role.ATTENDANT, Role.STEWARD])
def test_housing_is_not_for_everybody(shop: Workshop, role: Role) -> None:
    row = shop.housing()
    with pytest.raises(NotAllowed):
        label_housing(**shop.by(make_person(role), role), housing=row, says="No.")
