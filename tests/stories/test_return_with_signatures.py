"""The kite goes home by scan and signature; the file waits for the de-install form."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from html import unescape

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from lifecycle.actions.display.going_home import send_home, store_resting
from lifecycle.actions.movements import Scanned, authorise_movement, hand_over, receive
from lifecycle.actions.refusals import Refused
from lifecycle.process.days import day_words
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.light import rest_kept
from lifecycle.records.models import (
    DisplayPeriod,
    Movement,
    MuseumObject,
    RemovalCard,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.movements import StateOnArrival
from lifecycle.records.models.preparation import Housing
from tests.builders.core import kept_by, make_exhibition, make_object, make_place, make_word
from tests.builders.display import (
    Crew,
    carry,
    hand,
    make_case,
    make_crew,
    name_technician,
    plan_way,
    planned_showing,
    put_at,
    reason_word,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
OUT = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)
HOME = datetime(2026, 9, 14, 10, 0, tzinfo=UTC)


@dataclass
class Kite:
    crew: Crew
    showing: Showing
    box: Housing
    way_home: Movement


def the_kite() -> Kite:
    """Out of its bay with a card left there, shown, and housed again; the way home is released."""
    crew = make_crew()
    bay = make_place("Bay 12", PlaceKind.BAY)
    bench = make_place("Bench 1", PlaceKind.BENCH)
    thing = make_object(
        object_number="HCM.1960.18",
        title="Silk weather kite",
        normal_location=bay,
        current_location=bay,
    )
    _, positions = make_case("N5", 1)
    showing = planned_showing(make_exhibition(), positions[0], museum_object=thing)
    carry(crew, plan_way(crew, [showing], bench, OUT, reason=reason_word("examine")), OUT)
    DisplayPeriod(
        showing=showing,
        museum_object=thing,
        face=showing.faces_wanted.get().face,
        place=positions[0],
        opened_by="install",
        opened_at=OUT + timedelta(days=6),
        closed_at=HOME - timedelta(days=7),
    ).keep(**kept_by())
    put_at(showing, Stage.REHOUSING, HOME)
    box = Housing(
        housing_no="HS-0001",
        museum_object=thing,
        kind=make_word(Vocabulary.HOUSING_KIND, "padded-tray"),
        board="alkaline_reserve",
        specified_on=OUT.date(),
        specified_by=crew.conservator,
        fits=True,
        fits_at=HOME,
        made_by=crew.conservator.full_name,
        made_on=HOME.date(),
        fits_by=crew.conservator,
        old_housing="kept",
        old_notes="none",
    ).keep(**kept_by())
    showing = Showing.objects.get(pk=showing.pk)
    name_technician(crew, showing, AppointmentKind.DEINSTALL, HOME)
    way = plan_way(crew, [showing], bay, HOME, reason=reason_word("return-to-store"))
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=HOME, movement=way)
    hand_over(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=HOME,
        movement=way,
        hand=hand(crew.conservator, Role.CONSERVATOR),
        left_at=HOME,
    )
    return Kite(crew, showing, box, way)


def arrive(kite: Kite, scanned: Scanned) -> Movement:
    return receive(
        by=kite.crew.technician,
        role=Role.TECHNICIAN,
        at=HOME,
        movement=kite.way_home,
        hand=hand(kite.crew.technician, Role.TECHNICIAN),
        arrived_at=HOME,
        state=StateOnArrival.SAME,
        scanned=scanned,
    )


def test_scanning_bay_and_box_sets_the_location_and_closes_the_card() -> None:
    kite = the_kite()
    card = RemovalCard.objects.get()
    bay = kite.way_home.to_place
    arrive(
        kite,
        Scanned(
            place=bay.code.lower(),
            objects=[kite.box.code],
            card_numbers={kite.showing.museum_object_id: card.card_no},
        ),
    )
    thing = MuseumObject.objects.get(pk=kite.showing.museum_object_id)
    assert thing.current_location == bay
    card.refresh_from_db()
    assert card.lifted_at == HOME
    assert card.lifted_by == kite.crew.technician
    assert card.lifted_with == kite.way_home
    way = Movement.objects.get(pk=kite.way_home.pk)
    assert (way.arrival_confirmed_how, way.arrival_confirmed_by) == ("scan", kite.crew.technician)


def test_the_card_is_asked_for_and_another_number_does_not_do() -> None:
    kite = the_kite()
    bay = kite.way_home.to_place
    for said in ({}, {kite.showing.museum_object_id: "MV-9999-1"}):
        with pytest.raises(Refused, match=r"Lift the removal card of HCM\.1960\.18 in Bay 12"):
            arrive(
                kite,
                Scanned(place=bay.code, objects=[kite.box.code], card_numbers=said),
            )
    assert Movement.objects.get(pk=kite.way_home.pk).arrived_at is None
    assert RemovalCard.objects.get().lifted_at is None


def test_a_lost_card_is_written_down_as_lost() -> None:
    kite = the_kite()
    bay = kite.way_home.to_place
    arrive(
        kite,
        Scanned(
            place=bay.code,
            objects=[kite.box.code],
            card_numbers={kite.showing.museum_object_id: "lost: not in the bay"},
        ),
    )
    assert RemovalCard.objects.get().lost_note == "not in the bay"


def test_the_wrong_bay_and_a_strange_box_are_named() -> None:
    kite = the_kite()
    other = make_place("Bay 13", PlaceKind.BAY)
    with pytest.raises(Refused) as refused:
        arrive(kite, Scanned(place=other.code, objects=["AAAAAAA"]))
    said = str(refused.value)
    assert "not Bay 12" in said
    assert "HCM.1960.18" in said
    assert "does not belong" in said


def test_resting_until_is_computed_and_stored_with_its_inputs() -> None:
    kite = the_kite()
    stored = store_resting(
        by=kite.crew.registrar, role=Role.REGISTRAR, at=HOME, showing=kite.showing
    )
    faces = stored["faces"]
    assert isinstance(faces, list)
    assert faces[0]["face"]
    assert faces[0]["inputs"]
    assert Showing.objects.get(pk=kite.showing.pk).resting_until == stored


def test_how_long_it_rests_stands_beside_the_closing_and_on_the_closed_file() -> None:
    kite = the_kite()
    client = visitor(person=kite.crew.registrar)
    pages = {name: reverse(name, args=[kite.showing.uid]) for name in ("send-home", "showing")}
    closing = client.get(pages["send-home"]).content.decode()
    assert "Last shown: last day in the light" in closing
    assert "Plan the way home" in closing
    assert "Its rest" not in client.get(pages["showing"]).content.decode()

    card = RemovalCard.objects.get().card_no
    arrive(
        kite,
        Scanned(
            place=kite.way_home.to_place.code,
            objects=[kite.box.code],
            card_numbers={kite.showing.museum_object_id: card},
        ),
    )
    assert "Plan the way home" not in client.get(pages["send-home"]).content.decode()

    store_resting(by=kite.crew.registrar, role=Role.REGISTRAR, at=HOME, showing=kite.showing)
    kept = rest_kept(Showing.objects.get(pk=kite.showing.pk))
    file = " ".join(strip_tags(client.get(pages["showing"]).content.decode()).split())
    assert [one.free_from for one in kept] == [date(2029, 9, 8)]
    assert "Its rest" in file
    assert f"may be shown again from {day_words(date(2029, 9, 8))}" in file
    assert kept[0].because in unescape(file)


def test_the_file_cannot_be_closed_while_p7_is_unsigned() -> None:
    kite = the_kite()
    arrive(
        kite,
        Scanned(
            place=kite.way_home.to_place.code,
            objects=[kite.box.code],
            card_numbers={kite.showing.museum_object_id: RemovalCard.objects.get().card_no},
        ),
    )
    with pytest.raises(Refused) as refused:
        send_home(by=kite.crew.registrar, role=Role.REGISTRAR, at=HOME, showing=kite.showing)
    codes = {reason.code for reason in refused.value.reasons}
    assert {"part_a.missing", "part_b.missing"} <= codes
    assert "movement.home" not in codes
    assert "movement.arrival" not in codes
    assert Showing.objects.get(pk=kite.showing.pk).stage == Stage.REHOUSING
