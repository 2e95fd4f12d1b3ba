"""Every list as a file: the page's columns, filters and rights; objects read back unchanged."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.exchange.tables.reading import read_table
from lifecycle.pages.loans import views
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import LightReading, Loan, MuseumObject, Organisation
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.object_table import digest, histories, make_lists, sample, written
from tests.pages.signing_in import questions, visitor
from tests.pages.test_process_pages import asked

pytestmark = pytest.mark.django_db


def table_at(client: Client, address: str, kind: str = "csv") -> list[dict[str, str]]:
    """The file behind a list's page, as dictionaries by heading."""
    sign = "&" if "?" in address else "?"
    answer = client.get(f"{address}{sign}as={kind}")
    assert answer.status_code == 200, answer.content
    assert f".{kind}" in answer["Content-Disposition"]
    read = read_table(answer.content, f"list.{kind}")
    return [
        dict(zip(read.headings, (cell.text for cell in line.cells), strict=True))
        for line in read.lines
    ]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_objects_taken_out_come_back_in_as_unchanged(kind: str) -> None:
    make_lists()
    written(sample(60))
    odd = MuseumObject.objects.get(object_number="HCM.1903.3")
    odd.title, odd.marks, odd.maker = "=SUM(A1)", "'-- ; two: lines\nof text", "+44"
    odd.keep(**kept_by())
    before, entries = digest(), histories()
    answer = visitor(Role.REGISTRAR).get(reverse("objects") + f"?as={kind}")
    work = written(answer.content)
    assert work.results == {"new": 0, "changed": 0, "unchanged": 60, "bad": []}
    assert (digest(), histories()) == (before, entries)


def test_objects_are_taken_out_under_the_filters_and_rights_of_their_page() -> None:
    make_museum()
    store = make_place("Main Store", PlaceKind.STORE)
    bay = make_place("Bay 7", PlaceKind.BAY, parent=store)
    gallery = make_place("North Gallery", PlaceKind.ROOM)
    make_object(
        object_number="HCM.1",
        title="Barometer",
        normal_location=bay,
        current_location=bay,
        culturally_restricted="men only",
    )
    make_object(object_number="HCM.2", title="Print", current_location=gallery)
    list_page = reverse("objects")
    registrar, manager = visitor(Role.REGISTRAR), visitor(Role.EXHIBITION_MANAGER)
    assert len(table_at(registrar, list_page)) == 2
    (one,) = table_at(registrar, f"{list_page}?q=barometer")
    assert (one["usual place"], one["cultural restriction"]) == ("Bay 7, Main Store", "men only")
    (hidden,) = table_at(manager, f"{list_page}?q=barometer")
    assert (hidden["usual place"], hidden["where it is"]) == ("in store", "in store")
    assert "Bay 7" not in str(hidden)
    assert hidden["cultural restriction"] == ""
    attendant = make_person()
    attendant.roles.model(person=attendant, role=Role.ATTENDANT.value, from_on=DAY).keep(
        **kept_by()
    )
    attendant.roles.get().galleries.add(gallery)
    assert [row["object number"] for row in table_at(visitor(person=attendant), list_page)] == [
        "HCM.2"
    ]


def test_places_are_taken_out_without_bays_for_those_who_may_not_see_them() -> None:
    make_museum()
    store = make_place("Main Store", PlaceKind.STORE)
    make_place("Bay 7", PlaceKind.BAY, parent=store)
    make_place("North Gallery", PlaceKind.ROOM)
    page = reverse("places")
    paths = [row["place"] for row in table_at(visitor(Role.REGISTRAR), page)]
    assert paths == ["Main Store", "Main Store > Bay 7", "North Gallery"]
    assert [row["place"] for row in table_at(visitor(Role.REGISTRAR), f"{page}?q=north")] == [
        "North Gallery"
    ]
    seen = [row["place"] for row in table_at(visitor(Role.EXHIBITION_MANAGER), page)]
    assert "Bay 7" not in str(seen)


def test_readiness_is_taken_out_with_a_column_a_gate_and_what_is_missing() -> None:
    showing = asked()
    page = reverse("exhibition", args=[showing.exhibition.uid])
    rows = table_at(visitor(Role.REGISTRAR), page)
    assert [row["object number"] for row in rows] == [showing.museum_object.object_number]
    assert any(heading.startswith("G1 ") for heading in rows[0])
    assert rows[0]["still missing"]


def test_people_are_taken_out_for_the_steward_alone_and_without_addresses() -> None:
    make_museum()
    make_person(Role.CURATOR, name="Ada Quill", email="ada@example.org")
    page = reverse("people")
    rows = table_at(visitor(Role.STEWARD), page)
    assert "Ada Quill" in [row["name"] for row in rows]
    assert "example.org" not in str(rows)
    assert visitor(Role.REGISTRAR).get(f"{page}?as=csv").status_code == 403


def test_loans_are_taken_out_without_the_lenders_address() -> None:
    make_museum()
    lender = Organisation(name="Mill Lane Trust", kind="lender", contact="Secret Street 1")
    lender.keep(**kept_by())
    loan = lender_loan(lender)
    for role in (Role.REGISTRAR, Role.CURATOR):
        (row,) = table_at(visitor(role), reverse("loans"))
        assert (row["agreement"], row["with"]) == (loan.agreement_no, "Mill Lane Trust")
        assert "Secret" not in str(row)


def lender_loan(lender: Organisation, number: str = "L-1") -> Any:
    loan = Loan(
        agreement_no=number,
        lender=lender,
        direction="in",
        starts_on=DAY,
        ends_on=DAY,
    )
    return loan.keep(**kept_by())


def test_a_file_holds_all_where_the_page_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    make_museum()
    lender = Organisation(name="Mill Lane Trust", kind="lender")
    lender.keep(**kept_by())
    for n in range(4):
        lender_loan(lender, f"L-{n}")
    monkeypatch.setattr(views, "LIST_LIMIT", 2)
    client = visitor(Role.REGISTRAR)
    assert client.get(reverse("loans")).content.decode().count("L-") == 2
    assert len(table_at(client, reverse("loans"))) == 4


@pytest.mark.parametrize("name", ["objects", "places", "calendar", "papers", "loans", "light"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_every_list_gives_a_file_even_when_it_is_empty(name: str, kind: str) -> None:
    make_museum()
    answer = visitor(Role.REGISTRAR).get(reverse(name) + f"?as={kind}")
    assert answer.status_code == 200
    assert "attachment" in answer["Content-Disposition"]


def test_a_list_asks_no_more_for_more_objects() -> None:
    make_lists()
    client = visitor(Role.REGISTRAR)
    written(sample(5))
    few = questions(client, reverse("objects") + "?as=csv")
    written(sample(80))
    assert questions(client, reverse("objects") + "?as=csv") == few


def test_light_readings_of_a_place_are_taken_out_whole() -> None:
    make_museum()
    gallery = make_place("North Gallery", PlaceKind.ROOM)
    case = make_place("Case 2", PlaceKind.CASE, parent=gallery)
    reader = make_person(Role.CONSERVATOR)
    for n in range(15):
        LightReading(
            place=case,
            lux=50 + n,
            shown_lux=50 + n,
            read_at=AT,
            read_by=reader,
            entered_at=AT,
            entered_by=reader,
        ).append()
    rows = table_at(visitor(person=reader), reverse("readings", args=[gallery.uid]))
    assert len(rows) == 15
    assert {row["place"] for row in rows} == {"Case 2"}
    assert "lux [lx]" in rows[0]
