"""The object list: hang order, pictures, whole rows, no store place; print and table alike."""

import re
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from lifecycle.actions.papers_out import print_paper
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.exchange.tables.reading import read_table
from lifecycle.papers.filling.object_list import object_list_words
from lifecycle.papers.printed import draw_print
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LightKind, PlaceKind
from lifecycle.queries.object_list import hang_of, natural
from lifecycle.records.models import (
    CopyWord,
    Exhibition,
    MeasuredState,
    PaperSize,
    Print,
    Showing,
)
from lifecycle.records.models.objects import Measure
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import planned_showing, put_at
from tests.builders.treatment import make_picture
from tests.pages.signing_in import visitor
from tests.papers.reading import drawn_picture, page_texts

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
BAY = "Bay 7, shelf 3"


def hang(exhibition: Exhibition, count: int) -> list[Showing]:
    """Objects that are asked for in the wrong order and planned for N10, N9, ... N1."""
    made = []
    gallery = make_place("North Gallery", PlaceKind.ROOM, public=True)
    bay = make_place(BAY, PlaceKind.SHELF)
    for number in range(count, 0, -1):
        case = make_place(f"N{number}", PlaceKind.CASE, parent=gallery)
        place = make_place("position 1", PlaceKind.POSITION, parent=case)
        thing = make_object(
            title=f"Cloud study, plate {number}", normal_location=bay, current_location=bay
        )
        Measure(
            museum_object=thing, state=MeasuredState.UNFRAMED, height_mm="212.5", width_mm="300"
        ).keep(**kept_by())
        showing = put_at(
            planned_showing(exhibition, place, museum_object=thing), Stage.SELECTION, AT
        )
        face = showing.faces_wanted.get().face
        face.thumbnail = make_picture(face, taken_at=AT, light=LightKind.DIFFUSE)
        face.keep(**kept_by())
        made.append(showing)
    return made


@pytest.fixture
def exhibition() -> Exhibition:
    make_museum()
    return make_exhibition(short="RBN")


def test_numbers_in_names_are_counted_not_spelt() -> None:
    assert sorted(["N10", "N2²", "N2", "N1"], key=natural) == ["N1", "N2", "N2²", "N10"]


def test_the_list_stands_in_the_order_of_the_hang(exhibition: Exhibition) -> None:
    hang(exhibition, 11)
    loose = put_at(planned_showing(exhibition, None), Stage.SELECTION, AT)
    gone = put_at(planned_showing(exhibition, None), Stage.WITHDRAWN, AT)
    listed = hang_of(exhibition)
    assert [one.place for one in listed[:-1]] == [f"N{n}, position 1" for n in range(1, 12)]
    assert listed[-1].showing == loose
    assert gone not in [one.showing for one in listed]
    assert [one.order for one in listed] == list(range(1, 13))


def test_no_place_in_store_stands_on_paper_or_in_the_table(exhibition: Exhibition) -> None:
    hang(exhibition, 2)
    registrar = make_person(Role.REGISTRAR)
    row = printed(exhibition, registrar)
    (paper,) = page_texts(pdf_of(row))
    assert "plate 1" in paper
    assert BAY not in paper
    table = visitor(person=registrar).get(f"/exhibitions/{exhibition.uid}/objects.csv")
    assert BAY not in table.content.decode()
    lines = read_table(table.content, "objects.csv").lines
    assert [line.cells[3].text for line in lines] == [
        "Cloud study, plate 1",
        "Cloud study, plate 2",
    ]
    assert lines[0].cells[7].text == "unframed: 212.5 × 300 mm"


def pdf_of(row: Print) -> bytes:
    pdf = draw_print(row.paper, row.words, page_size=row.page_size, pictures=drawn_picture).pdf
    assert isinstance(pdf, bytes)
    return pdf


def printed(exhibition: Exhibition, registrar: Any, **said: Any) -> Print:
    said.setdefault("copy_word", CopyWord.WORKING)
    return print_paper(
        by=registrar,
        role=said.pop("role", Role.REGISTRAR),
        at=AT,
        record=exhibition,
        page_size=PaperSize.A4,
        base_address="http://showrest.example",
        **said,
    )


def test_rows_are_never_broken_and_pages_are_counted(exhibition: Exhibition) -> None:
    hang(exhibition, 23)
    row = printed(exhibition, make_person(Role.REGISTRAR))
    pages = page_texts(pdf_of(row))
    assert len(pages) == row.pages > 1
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {row.pages}" in page
        assert "Lender, conditions" in page
    for number in range(1, 24):
        on = [n for n, page in enumerate(pages) if re.search(rf"plate\s+{number}\b", page)]
        place = [n for n, page in enumerate(pages) if re.search(rf"N{number},\s+position", page)]
        assert len(on) == 1
        assert on == place


def test_a_list_is_not_signed_and_an_empty_one_is_not_printed(exhibition: Exhibition) -> None:
    registrar = make_person(Role.REGISTRAR)
    with pytest.raises(Refused, match="has no object yet"):
        printed(exhibition, registrar)
    hang(exhibition, 1)
    with pytest.raises(Refused, match="Nobody signs an object list"):
        printed(exhibition, registrar, copy_word=CopyWord.TO_SIGN)
    technician = make_person(Role.TECHNICIAN, name="Bram Oduya")
    with pytest.raises(NotAllowed):
        printed(exhibition, technician, role=Role.TECHNICIAN)
    assert not printed(exhibition, registrar).expected_back


def test_through_the_page(exhibition: Exhibition) -> None:
    hang(exhibition, 3)
    registrar: Client = visitor(Role.REGISTRAR)
    page = registrar.get(f"/exhibitions/{exhibition.uid}/").content.decode()
    assert "Print the object list" in page
    address = f"/papers/print/object_list/{exhibition.uid}/"
    answer = registrar.post(address, {"copy_word": "for_lender"}, follow=True)
    assert "Cloud study, plate 3" in answer.content.decode()
    listed = registrar.get(f"/papers/?exhibition={exhibition.uid}").content.decode()
    assert "3 objects in the order of the hang" in listed
    attendant = visitor(Role.ATTENDANT)
    assert attendant.get(f"/exhibitions/{exhibition.uid}/objects.csv").status_code == 403


@pytest.mark.parametrize("count", [2, 9])
def test_the_list_takes_a_fixed_number_of_questions(
    exhibition: Exhibition, count: int, django_assert_num_queries: Any
) -> None:
    hang(exhibition, count)
    with django_assert_num_queries(5):
        assert len(hang_of(exhibition)) == count
    with django_assert_num_queries(7):
        assert len(object_list_words(exhibition).objects) == count
