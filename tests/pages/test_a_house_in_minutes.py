"""A new museum's own rooms, cases, lamps, rules and first exhibition, through pages alone."""

from typing import Any

import pytest
from django.test import Client
from django.utils.timezone import now

from lifecycle.actions.beginning import begin
from lifecycle.actions.many_places import MOST, add_places, names_meant
from lifecycle.actions.places import PlaceDetails
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Exhibition, LitTimetable, Person, Place
from tests.builders.core import AT, make_museum, make_person, make_place
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("N1–N3", ["N1", "N2", "N3"]),
        ("N1-3", ["N1", "N2", "N3"]),
        ("case 8 to case 10", ["case 8", "case 9", "case 10"]),
        ("01..03", ["01", "02", "03"]),
        ("East, West\nNorth", ["East", "West", "North"]),
        ("1914-1918 room", ["1914-1918 room"]),
        ("N3-N1", ["N3-N1"]),
        ("N1-S3", ["N1-S3"]),
        ("  ", []),
    ],
)
def test_names_are_counted_out_and_nothing_else_is(text: str, names: list[str]) -> None:
    assert names_meant(text) == names


def test_places_are_made_all_or_none() -> None:
    make_museum()
    registrar = make_person(Role.REGISTRAR)
    room = make_place("North Gallery", PlaceKind.ROOM)
    make_place("N3", PlaceKind.CASE, parent=room)
    said: dict[str, Any] = {"by": registrar, "role": Role.REGISTRAR, "at": AT}
    details = PlaceDetails(name="", kind=PlaceKind.CASE, parent=room)
    before = Place.objects.count()
    with pytest.raises(Refused, match="“N3”"):
        add_places(**said, names="N1–N9", details=details, inside=6)
    for names, inside in (("", 0), ("N1, N1", 0), (f"N1–N{MOST - 1}", 2)):
        with pytest.raises(Refused):
            add_places(**said, names=names, details=details, inside=inside)
    shelf = PlaceDetails(name="", kind=PlaceKind.SITE)
    with pytest.raises(Refused, match="Positions lie in a room or a case"):
        add_places(**said, names="East", details=shelf, inside=2)
    assert Place.objects.count() == before


def place(client: Client, name: str, kind: str, within: str = "", **more: str) -> None:
    parent = str(Place.objects.get(name=within).uid) if within else ""
    sent = {"name": name, "kind": kind, "parent": parent} | more
    answer = client.post("/places/new/", sent)
    assert answer.status_code == 302, answer.content.decode()


def test_a_museum_that_has_just_begun_makes_its_house_through_pages() -> None:
    steward_person: Person = begin(
        museum="Hollinshire County Museum",
        zone="Europe/London",
        full_name="Imogen Sayle",
        email="",
        username="imogen",
        password="a long sentence of words",
        at=now(),
    )
    steward_person.refresh_from_db()
    steward = visitor(person=steward_person)
    place(steward, "Hollin House", "site")
    place(steward, "Main building", "building", "Hollin House")
    place(steward, "North Gallery", "room", "Main building", public="on")
    place(steward, "N1–N9", "case", "North Gallery", public="on", inside="6")
    assert Place.objects.filter(kind=PlaceKind.CASE).count() == 9
    assert Place.objects.filter(kind=PlaceKind.POSITION).count() == 54
    place(steward, "Main Store", "store", "Main building")
    place(steward, "Bay 1–Bay 12", "bay", "Main Store", inside="5")
    assert Place.objects.filter(kind=PlaceKind.SHELF, parent__name="Bay 12").count() == 5
    tree = steward.get("/places/").content.decode()
    assert tree.index(">Bay 2<") < tree.index(">Bay 10<")
    offered = steward.get("/places/new/").content.decode()
    assert offered.index("Bay 2, Main Store") < offered.index("Bay 10, Main Store")
    assert "shelf 1, Bay" not in offered  # nothing lies in a shelf
    registrar = visitor(Role.REGISTRAR)
    answer = registrar.post(
        "/light/timetables/new/",
        {"name": "Gallery lamps", "source": "timetable", "cover_factor_percent": "100"},
    )
    assert answer.status_code == 302, answer.content.decode()
    table = LitTimetable.objects.get()
    answer = registrar.post(
        f"/light/timetables/{table.uid}/hours/",
        {"weekdays": ["1", "2", "3"], "purpose": "public", "starts": "10:00", "ends": "17:00"},
    )
    assert answer.status_code == 302, answer.content.decode()
    gallery = Place.objects.get(name="North Gallery")
    answer = steward.post(
        f"/places/{gallery.uid}/change/",
        {
            "name": gallery.name,
            "kind": "room",
            "parent": str(Place.objects.get(name="Main building").uid),
            "timetable": str(table.pk),
            "public": "on",
            "why": "The lamps run by this.",
        },
    )
    assert answer.status_code == 302, answer.content.decode()
    answer = registrar.post(
        "/exhibitions/new/",
        {
            "short": "RBN",
            "title": "Rain by Noon",
            "install_from": "2027-03-01",
            "opens": "2027-03-13",
            "closes": "2027-09-05",
            "deinstall_until": "2027-09-17",
            "places": [str(gallery.uid)],
        },
    )
    assert answer.status_code == 302, answer.content.decode()
    exhibition = Exhibition.objects.get()
    assert list(exhibition.places.all()) == [gallery]
    assert registrar.get(f"/exhibitions/{exhibition.uid}/").status_code == 200
