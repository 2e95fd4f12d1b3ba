"""Nine cyanotypes, no housing in time, and no way to the store."""

from datetime import UTC, date, datetime

import pytest

from lifecycle.actions.movements import authorise_movement, hand_over
from lifecycle.actions.moves import waive
from lifecycle.actions.refusals import Refused
from lifecycle.letters.morning import morning_letter
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.morning import morning_of
from lifecycle.records.models import Movement, Person, Showing
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import make_exhibition, make_object, make_place
from tests.builders.display import (
    Crew,
    hand,
    make_case,
    make_crew,
    name_technician,
    plan_way,
    planned_showing,
    put_at,
    reason_word,
)

pytestmark = pytest.mark.django_db
AFTER = datetime(2026, 9, 9, 9, 0, tzinfo=UTC)


def nine_cyanotypes(crew: Crew) -> list[Showing]:
    bench, shelf = make_place("Bench 1", PlaceKind.BENCH), make_place("Shelf 4", PlaceKind.SHELF)
    exhibition = make_exhibition()
    _, positions = make_case("N6", 9)
    sheets = [
        planned_showing(
            exhibition,
            positions[number - 1],
            museum_object=make_object(
                object_number=f"HCM.1951.3.{number}",
                normal_location=shelf,
                current_location=bench,
            ),
        )
        for number in range(1, 10)
    ]
    for sheet in sheets:
        name_technician(crew, sheet, AppointmentKind.DEINSTALL, AFTER)
    return [put_at(sheet, Stage.REHOUSING, AFTER) for sheet in sheets]


def way_to_store(crew: Crew, sheets: list[Showing]) -> Movement:
    home = sheets[0].museum_object.normal_location
    assert home is not None
    return plan_way(crew, sheets, home, AFTER, reason=reason_word("return-to-store"))


def letter(person: Person, day: date) -> str:
    at = datetime(day.year, day.month, day.day, 7, tzinfo=UTC)
    morning = morning_of(person=person, day=day, at=at)
    written = morning_letter(morning, site="https://showrest.example")
    return "" if written is None else written.body


def test_28_days_before_closing_marit_has_the_housing_in_her_letter() -> None:
    """Counted by hand: it closes on Sunday 6 September 2026; 28 days before is Sunday 9 August,
    and what falls on a day off is needed on the working day before, Friday 7 August.
    """
    crew = make_crew()
    sheet = nine_cyanotypes(crew)[0]
    put_at(sheet, Stage.ON_DISPLAY, AFTER)
    told = "HCM.1951.3.1 has no"
    assert told not in letter(crew.conservator, date(2026, 8, 6))
    body = letter(crew.conservator, date(2026, 8, 7))
    assert told in body
    assert "closes on Sun 6 Sep 2026" in body
    assert told not in letter(crew.technician, date(2026, 8, 7))


def test_the_slip_to_the_store_is_refused_with_the_count() -> None:
    crew = make_crew()
    with pytest.raises(Refused, match=r"not housed \(9 of 9\)"):
        way_to_store(crew, nine_cyanotypes(crew))
    assert not Movement.objects.exists()


def test_a_conservator_waives_one_until_a_day_with_a_name() -> None:
    crew = make_crew()
    sheets = nine_cyanotypes(crew)
    waiver = waive(
        showing_id=sheets[0].pk,
        code="housing.fits",
        about="",
        reason="The sink mat comes on Friday.",
        until=date(2026, 9, 18),
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=AFTER,
    )
    assert waiver.by == crew.conservator
    with pytest.raises(Refused, match=r"not housed \(8 of 9\)"):
        way_to_store(crew, sheets)
    assert way_to_store(crew, sheets[:1]).lines.count() == 1


def test_what_was_housed_when_planned_is_asked_again_when_it_leaves() -> None:
    crew = make_crew()
    sheets = nine_cyanotypes(crew)[:1]
    waive(
        showing_id=sheets[0].pk,
        code="housing.fits",
        about="",
        reason="The sink mat comes on Friday.",
        until=date(2026, 9, 10),
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=AFTER,
    )
    planned = way_to_store(crew, sheets)
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=AFTER, movement=planned)
    later = datetime(2026, 9, 14, 9, 0, tzinfo=UTC)
    with pytest.raises(Refused, match=r"not housed \(1 of 1\)"):
        hand_over(
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=later,
            movement=planned,
            hand=hand(crew.conservator, Role.CONSERVATOR),
            left_at=later,
        )


def test_a_way_to_the_bench_asks_for_no_housing() -> None:
    crew = make_crew()
    sheets = nine_cyanotypes(crew)[:2]
    studio = make_place("Studio", PlaceKind.STUDIO)
    assert plan_way(crew, sheets, studio, AFTER).to_place == studio
