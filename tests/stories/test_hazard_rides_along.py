"""The barometer and the herbarium sheet on the move."""

from datetime import UTC, datetime

import pytest

from lifecycle.actions.refusals import Refused
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import Hazard, HazardEvidence, Orientation, PlaceKind
from lifecycle.queries.movements import methods_for
from lifecycle.records.models import ObjectHazard, Place, Showing
from tests.builders.core import kept_by, make_exhibition, make_object, make_place
from tests.builders.display import (
    Crew,
    make_case,
    make_crew,
    method_word,
    plan_way,
    planned_showing,
)

pytestmark = pytest.mark.django_db
MORNING = datetime(2026, 3, 9, 8, 0, tzinfo=UTC)


def barometer_on_the_bench(crew: Crew) -> tuple[Showing, Place]:
    bench = make_place("Bench 1", PlaceKind.BENCH)
    thing = make_object(
        object_number="HCM.1899.2",
        title="Stick barometer",
        orientation_rule=Orientation.UPRIGHT_ONLY.value,
        current_location=bench,
    )
    ObjectHazard(
        museum_object=thing, hazard=Hazard.MERCURY_LIQUID, evidence=HazardEvidence.TESTED
    ).keep(**kept_by())
    case, positions = make_case("N7", 1)
    return planned_showing(make_exhibition(), positions[0], museum_object=thing), case


def test_two_people_are_demanded_for_the_mercury_barometer() -> None:
    crew = make_crew()
    showing, case = barometer_on_the_bench(crew)
    with pytest.raises(Refused, match=r"HCM\.1899\.2 holds liquid mercury: two people carry it"):
        plan_way(crew, [showing], case, MORNING, method=method_word("hand"), people_needed=1)
    planned = plan_way(crew, [showing], case, MORNING, method=method_word("hand"), people_needed=2)
    assert planned.people_needed == 2


def test_a_trolley_without_an_upright_rack_is_not_offered_and_not_taken() -> None:
    crew = make_crew()
    showing, case = barometer_on_the_bench(crew)
    for code in ("hand", "tray", "trolley", "trolley-upright-rack"):
        method_word(code)
    offered = [word.code for word in methods_for([showing.museum_object])]
    assert offered == ["hand", "trolley-upright-rack"]
    with pytest.raises(Refused, match="travels upright only"):
        plan_way(crew, [showing], case, MORNING, method=method_word("trolley"), people_needed=2)


def test_the_forms_before_the_move_carry_hazard_and_orientation_in_words() -> None:
    crew = make_crew()
    showing, _ = barometer_on_the_bench(crew)
    said = " ".join(cautions_of(showing.museum_object, CautionFor.MOVE))
    assert "mercury" in said.lower()
    assert "upright only" in said


def test_the_herbarium_sheet_says_mercury_salts_gloves_and_hands_washed() -> None:
    sheet = make_object(object_number="HCM.H.2207", title="Scarlet pimpernel")
    ObjectHazard(
        museum_object=sheet, hazard=Hazard.MERCURY_SALTS, evidence=HazardEvidence.SUSPECTED
    ).keep(**kept_by())
    said = " ".join(cautions_of(sheet, CautionFor.MOVE)).lower()
    for word in ("mercury salts", "gloves", "wash hands"):
        assert word in said
