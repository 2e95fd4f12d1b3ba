"""Requests by list through pages: answers first, then asked, a nearest number chosen, exported."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.test import Client
from django.utils.timezone import now

from lifecycle.exchange.request_list import (
    DOUBTFUL,
    UnreadableList,
    lines_of_text,
    text_of_table,
)
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import Cell, Kind, Line, Table
from lifecycle.exchange.tables.writing import xlsx_bytes
from lifecycle.process.stages import Role
from lifecycle.records.models import Exhibition, MuseumObject, RequestLine, RequestList, Showing
from tests.builders.core import make_exhibition, make_face, make_museum, make_object, make_person
from tests.builders.light import make_timetable
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

FOR_ALL = {
    "priority": "important",
    "reason": "It shows how the weather was watched.",
    "no_alternative_because": "Agreed with the lenders.",
    "late_note": "Settled late.",
}


@pytest.fixture
def exhibition() -> Exhibition:
    make_museum()
    today = now().date()
    return make_exhibition(
        short="RBN",
        timetable=make_timetable(),
        install_from=today + timedelta(days=60),
        opens=today + timedelta(days=70),
        closes=today + timedelta(days=160),
        deinstall_until=today + timedelta(days=170),
    )


@pytest.fixture
def curator(exhibition: Exhibition) -> Client:
    person = make_person(Role.CURATOR)
    exhibition.curators.add(person)
    return visitor(person=person)


def thing(number: str) -> MuseumObject:
    made = make_object(object_number=number)
    make_face(made, label="recto")
    return made


def test_the_answers_come_first_and_nothing_is_written(
    exhibition: Exhibition, curator: Client
) -> None:
    thing("HCM.1908.12")
    here = f"/exhibitions/{exhibition.uid}/ask-by-list/"
    assert "Ask for a list" in curator.get(f"/exhibitions/{exhibition.uid}/").content.decode()
    sent = {"text": "HCM.1908.12\nHCM.19O8.12", "look": "1"} | FOR_ALL
    page = curator.post(here, sent).content.decode()
    assert "1 go to assessment" in page
    assert "1 not found" in page
    assert "Nearest: HCM.1908.12" in page
    assert "none named" in page
    assert not RequestList.objects.exists()
    assert not Showing.objects.exists()
    refused = curator.post(here, {"text": "HCM.1908.12", "priority": "filler", "ask": "1"})
    assert "1 line has no reason" in refused.content.decode()
    assert "HCM.1908.12" in refused.content.decode()
    page = curator.post(here, sent | {"ask": "1"}, follow=True).content.decode()
    assert "2 lines answered; the list is kept." in page
    assert "Which was meant?" in page
    line = RequestLine.objects.get(answer="not_found")
    showing = Showing.objects.get()
    assert showing.request_no in page
    said = curator.post(
        f"/request-lines/{line.uid}/again/", {"number": "HCM.1908.12"}, follow=True
    ).content.decode()
    assert "asked for already" in said
    table = curator.get(f"/request-lists/{RequestList.objects.get().uid}/csv/").content
    lines = read_table(table, "requests.csv").lines
    assert [line.cells[1].text for line in lines] == ["HCM.1908.12", "HCM.19O8.12"]


def test_a_workbook_goes_into_the_box_with_its_doubts_marked(
    exhibition: Exhibition, curator: Client
) -> None:
    thing("HCM.1")
    sheet = BytesIO(xlsx_bytes(["Object number", "Faces"], [["HCM.1", "recto"]], "List"))
    sheet.name = "wishes.xlsx"
    here = f"/exhibitions/{exhibition.uid}/ask-by-list/"
    page = curator.post(here, {"file": sheet, "look": "1", "text": ""} | FOR_ALL).content.decode()
    assert "HCM.1\trecto</textarea>" in page
    assert 'value="wishes.xlsx"' in page
    bad = BytesIO(b"%PDF-1.7")
    bad.name = "wishes.pdf"
    said = curator.post(here, {"file": bad, "look": "1"} | FOR_ALL).content.decode()
    assert "is not a table but a PDF" in said


def test_a_number_the_workbook_has_changed_finds_no_record() -> None:
    table = Table(
        headings=("Number", "From"),
        lines=(Line(2, (Cell("1908.1", Kind.NUMBER), Cell("2026-03-14", Kind.DAY))),),
    )
    text, notes = text_of_table(table)
    (line,) = lines_of_text(text)
    assert line.object_number == f"{DOUBTFUL} 1908.1"
    assert "decimal number" in notes[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("Faces\tFrom\nrecto\t2026-03-14", "No column is called"),
        ("Object number\tFaces", "no line below"),
        ("\n".join(f"HCM.{n}" for n in range(401)), "401 lines"),
    ],
)
def test_a_list_that_is_no_list_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(UnreadableList, match=said):
        lines_of_text(text)


def test_only_who_may_choose_asks_and_guests_see_no_list(exhibition: Exhibition) -> None:
    registrar = visitor(Role.REGISTRAR)
    assert registrar.get(f"/exhibitions/{exhibition.uid}/ask-by-list/").status_code == 403
