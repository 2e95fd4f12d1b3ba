"""Colour spots: repeats with instrument and geometry, differences of dates, files of readings."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lifecycle.actions.colour import (
    Measured,
    SpotLaid,
    give_up_spot,
    keep_measurement,
    lay_out_spot,
    strike_measurement,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.exchange.colour_readings import COLUMNS, headings
from lifecycle.process.stages import Role
from lifecycle.queries.colour import spots_of
from lifecycle.records.models import ColourMeasurement, ColourReading, ColourSpot, Face, Instrument
from lifecycle.records.models.colour import Geometry, Illuminant, Observer
from lifecycle.records.models.light import InstrumentKind
from tests.builders.core import AT, kept_by, make_face, make_museum, make_person

pytestmark = pytest.mark.django_db
C = Role.CONSERVATOR
BLUE = ((50.0, 10.0, -30.0), (50.2, 10.1, -30.1), (49.9, 9.9, -29.9))


def instrument(kind: InstrumentKind = InstrumentKind.COLOUR, serial: str = "CM-77") -> Instrument:
    found = Instrument.objects.filter(serial=serial).first()
    return found or Instrument(kind=kind, name="Hand instrument", serial=serial).keep(**kept_by())


def lay(face: Face | None = None, **values: Any) -> ColourSpot:
    given: dict[str, Any] = {
        "face": face or make_face(),
        "what": "blue of the sky",
        "left": Decimal(20),
        "top": Decimal("12.5"),
        "template": "polyester film, held to the upper left corner",
    } | values
    return lay_out_spot(laid=SpotLaid(**given), by=make_person(C), role=C, at=AT)


def read(
    spot: ColourSpot,
    readings: Sequence[Sequence[float]] = BLUE,
    *,
    at: datetime = AT,
    **values: Any,
) -> ColourMeasurement:
    given: dict[str, Any] = {
        "spot": spot,
        "instrument": values.pop("instrument", None) or instrument(),
        "geometry": Geometry.SPHERE_SCE,
        "aperture_mm": Decimal(4),
        "illuminant": Illuminant.D65,
        "observer": Observer.TEN,
        "measured_at": at,
        "readings": [tuple(Decimal(str(one)) for one in triple) for triple in readings],
    } | values
    return keep_measurement(measured=Measured(**given), by=make_person(C), role=C, at=at)


def moved(step: float) -> list[tuple[float, float, float]]:
    return [(light + step, green, blue) for light, green, blue in BLUE]


def test_two_dates_read_alike_are_compared_with_their_repeatability_beside() -> None:
    spot = lay()
    read(spot)
    read(spot, moved(0.1), at=AT + timedelta(days=90))
    read(spot, moved(-4.0), at=AT + timedelta(days=180))

    (face,) = spots_of(spot.museum_object)
    first, second, third = face.series[0].dates
    assert (first.since_before, first.apart) == (None, "")
    assert second.since_before is not None
    assert second.since_before.words == "not shown"
    assert third.since_first is not None
    assert third.since_first.words == "changed"
    assert third.since_first.repeatability == pytest.approx(third.repeatability, abs=0.02)
    assert third.first == first.row


def test_another_geometry_or_instrument_is_not_compared_and_says_so() -> None:
    spot = lay()
    read(spot)
    read(spot, moved(5), at=AT + timedelta(days=1), geometry=Geometry.AT_45)
    read(spot, moved(5), at=AT + timedelta(days=2), instrument=instrument(serial="CM-78"))

    dates = spots_of(spot.museum_object)[0].series[0].dates
    assert [date.apart for date in dates] == [
        "",
        "not compared: other geometry than before",
        "not compared: other instrument, geometry than before",
    ]
    assert all(date.since_before is None for date in dates)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"instrument": "lux"}, "instrument"),
        ({"readings": [(0.41, 0.44, 0.39)]}, "readings"),
        ({"readings": [(101, 0, 0)]}, "readings"),
        ({"readings": [(50, 151, 0)]}, "readings"),
        ({"readings": []}, "readings"),
        ({"measured_at": AT + timedelta(minutes=1)}, "measured_at"),
        ({"aperture_mm": Decimal(0)}, "aperture_mm"),
        ({"stated_repeatability": Decimal(-1)}, "stated_repeatability"),
    ],
)
def test_wrong_instruments_units_and_times_are_refused_beside_their_field(
    values: dict[str, Any], field: str
) -> None:
    if values.get("instrument") == "lux":
        values = {"instrument": instrument(InstrumentKind.LUX, "LM-2")}
    with pytest.raises(Refused) as refused:
        read(lay(), **values)
    assert {reason.field for reason in refused.value.reasons} == {field}
    assert not ColourReading.objects.exists()


def test_a_visit_is_kept_once_and_struck_with_a_reason() -> None:
    spot = lay()
    row = read(spot)
    with pytest.raises(Refused, match="at this moment already"):
        read(spot)
    with pytest.raises(NotAllowed):
        strike_measurement(row=row, why="x", by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT)

    strike_measurement(row=row, why="Wrong sheet.", by=make_person(C), role=C, at=AT)

    assert spots_of(spot.museum_object)[0].series[0].dates == ()
    assert read(spot).pk
    give_up_spot(spot=spot, why="The template is lost.", by=make_person(C), role=C, at=AT)
    with pytest.raises(Refused, match="read no longer: The template is lost"):
        read(spot, at=AT + timedelta(days=1))
    assert lay(spot.face).number == 2


def test_a_spot_says_what_is_read_and_how_it_is_found_again() -> None:
    with pytest.raises(Refused) as refused:
        lay(what=" ", template="", left=Decimal(101))
    assert [one.field for one in refused.value.reasons] == ["what", "template", "box_left"]


def csv(*lines: str) -> str:
    return "\n".join([";".join(COLUMNS), *lines])


def line(spot: str = "C1", light: str = "50", serial: str = "CM-77", more: str = "") -> str:
    return f"{spot};2026-06-02 09:30;{light};10;-30;{serial};d/8 SCE;4;D65;10;0.1;{more}"


@pytest.fixture
def signed_in(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr("lifecycle.pages.door.now", lambda: AT + timedelta(hours=1))
    make_museum()
    person = make_person(C)
    assert person.account is not None
    client.force_login(person.account)
    return client


def test_a_file_is_taken_with_its_repeats_or_not_at_all_and_its_text_stays(
    signed_in: Client,
) -> None:
    spot, thing = (one := lay()), one.museum_object
    instrument()
    instrument(InstrumentKind.LUX, "LM-2")
    address = reverse("colours-file", args=[thing.uid])
    bad = csv(line(), line("C9"), line(light="fifty"), line(serial="NO-1"), line(light="0,5 nm"))

    said = signed_in.post(address, {"text": bad}).content.decode()

    for words in (
        "Line 3: " + thing.object_number + " has no colour spot C9.",
        "Line 4: L*: “fifty” is no number.",
        "Line 5: No instrument with the serial number NO-1 is on record.",
        "Line 6: L*: “nm” is not a unit known here",
    ):
        assert words in said
    assert "fifty;10;-30" in said
    assert not ColourMeasurement.objects.exists()
    lux = signed_in.post(address, {"text": csv(line(serial="LM-2"))}).content.decode()
    assert "Line 2: Hand instrument (LM-2) is a lux meter" in lux
    other = ";".join("X" if name == "L*" else "Y" if name == "a*" else name for name in COLUMNS)
    assert "The columns are XYZ" in signed_in.post(address, {"text": other}).content.decode()

    answer = signed_in.post(address, {"text": csv(line(), line(light="50.2"), line(light="49.9"))})

    assert answer.status_code == 302
    row = ColourMeasurement.objects.get()
    assert (row.spot, row.readings.count(), row.geometry) == (spot, 3, "d8_sce")
    assert row.stated_repeatability == Decimal("0.1")
    assert len(headings()) == len(COLUMNS)


def test_the_page_draws_the_spots_and_its_queries_do_not_grow_with_them(
    signed_in: Client,
) -> None:
    spot = lay()
    address = reverse("object-colours", args=[spot.museum_object.uid])
    form = {
        "instrument": str(instrument().uid), "geometry": "d8_sce", "aperture_mm": "4",
        "illuminant": "D65", "observer": "10", "measured_at": "2026-06-02T10:30",
        "readings": "50 10 -30\n50,2;10,1;-30,1\n",
    }  # fmt: skip
    bad = signed_in.post(reverse("colour-read", args=[spot.uid]), form | {"readings": "50 10"})
    assert "Line 1: “50 10” is not three figures" in bad.content.decode()
    assert signed_in.post(reverse("colour-read", args=[spot.uid]), form).status_code == 302
    with CaptureQueriesContext(connection) as few:
        said = signed_in.get(address).content.decode()
    assert "C1 blue of the sky" in said
    assert "first date" in said
    for _ in range(3):
        again = lay(spot.face)
        read(again)
        read(again, moved(3), at=AT + timedelta(minutes=30))
    with CaptureQueriesContext(connection) as many:
        said = signed_in.get(address).content.decode()
    assert "changed, since" in said
    assert len(many) == len(few)
