"""Past showings from old files, many at once: estimates in the accounts, nothing entered twice."""

from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest

from lifecycle.actions.light.past_list import enter_past_list
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.exchange.past_light_list import (
    COLUMNS,
    UnreadablePast,
    headings,
    line_typed,
    lines_of_table,
)
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.writing import csv_bytes
from lifecycle.process.stages import Role
from lifecycle.queries.light import account_of
from lifecycle.queries.light.past_lines import PastLine, what_past_lines_mean
from lifecycle.records.models import Face, LightEntry, Person
from tests.builders.core import AT, make_face, make_museum, make_object, make_person
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

FULL = {
    "Face": "recto",
    "From": "1998-03-02",
    "To": "1998-05-10",
    "Lux low": "40 lx",
    "Lux likely": "50",
    "Lux high": "80",
    "Lit hours a week": "48",
    "Hours known from": "the visitor book",
    "Source": "File note 1998",
}


@pytest.fixture
def face() -> Face:
    make_museum()
    return make_face(make_object(object_number="HCM.M.88"), label="recto")


@pytest.fixture
def marit(face: Face) -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def table_of(*rows: dict[str, str]) -> bytes:
    return csv_bytes(headings(), [[row.get(name, "") for name in COLUMNS] for row in rows])


def lines_of(*rows: dict[str, str]) -> list[PastLine]:
    return lines_of_table(read_table(table_of(*rows), "past.csv"))


def row(**changes: str) -> dict[str, str]:
    return {"Object number": "HCM.M.88"} | FULL | changes


def acting(person: Person) -> dict[str, Any]:
    return {"by": person, "role": Role.CONSERVATOR, "at": AT}


def test_a_past_showing_is_lux_times_hours_three_times(face: Face, marit: Person) -> None:
    (entry,) = enter_past_list(**acting(marit), lines=lines_of(row()))
    # 2 March to 10 May 1998 are 70 days, ten weeks of 48 h: 480 h.
    doses = [entry.low_lx_h, entry.likely_lx_h, entry.high_lx_h]
    assert doses == [Decimal(19_200), Decimal(24_000), Decimal(38_400)]
    assert entry.basis == "40 / 50 / 80 lx for 480.0 h (48 h a week for 70 days; the visitor book)"
    assert entry.source == "File note 1998"
    assert account_of(face, AT).lifetime.likely == 24_000


def test_hours_in_all_go_before_hours_a_week(marit: Person) -> None:
    said = row(**{"Lit hours": "300 h", "Lit hours a week": "48"})
    (entry,) = enter_past_list(**acting(marit), lines=lines_of(said))
    assert entry.likely_lx_h == 15_000


def test_bringing_the_table_again_enters_nothing_twice(marit: Person) -> None:
    enter_past_list(**acting(marit), lines=lines_of(row(), row()))
    assert LightEntry.objects.count() == 1
    with pytest.raises(Refused, match="No line can be entered"):
        enter_past_list(**acting(marit), lines=lines_of(row()))
    enter_past_list(**acting(marit), lines=lines_of(row(), row(From="1998-03-03")))
    assert LightEntry.objects.count() == 2


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"Object number": "HCM.0"}, "No object has the number"),
        ({"Object number": ""}, "no object number"),
        ({"Face": "verso"}, "no face “verso”; faces on record: recto"),
        ({"From": ""}, "Give the first and the last day"),
        ({"From": "1998-06-01"}, "lies before the first"),
        ({"To": "2099-01-01"}, "It is not past"),
        ({"Lux low": "60"}, "follow each other"),
        ({"Lux likely": ""}, "given three times"),
        ({"Lux likely": "5 fc"}, "is not a unit known here"),
        ({"Lit hours a week": ""}, "Give the lit hours"),
        ({"Lit hours a week": "", "Lit hours": "9", "Hours known from": ""}, "hours were come by"),
        ({"Source": ""}, "Say where that stands"),
    ],
)
def test_each_fault_is_named_and_its_line_is_not_entered(
    marit: Person, change: dict[str, str], said: str
) -> None:
    lines = lines_of(row(**change), row(From="1998-03-03"))
    faults = what_past_lines_mean(lines, AT)[0].faults
    assert said in " ".join(faults)
    (entry,) = enter_past_list(**acting(marit), lines=lines)
    assert entry.from_at.date() == date(1998, 3, 3)


def test_only_a_conservator_enters_past_light(marit: Person) -> None:
    curator = make_person(Role.CURATOR)
    with pytest.raises(NotAllowed):
        enter_past_list(by=curator, role=Role.CURATOR, at=AT, lines=lines_of(row()))


def test_a_line_read_again_is_the_same_and_a_strange_table_is_refused(face: Face) -> None:
    (line,) = lines_of(row())
    assert line_typed(line.number, line.typed) == line
    assert line.dose[1] == Decimal(24_000)
    for table, said in (
        (csv_bytes(["Thing"], [["x"]]), "No column"),
        (csv_bytes(headings(), []), "No line"),
    ):
        with pytest.raises(UnreadablePast, match=said):
            lines_of_table(read_table(table, "x.csv"))


@pytest.mark.parametrize("count", [1, 7])
def test_many_lines_take_as_many_questions_as_one(
    face: Face, count: int, django_assert_num_queries: Any
) -> None:
    lines = lines_of(*[row(From=f"1998-03-{day:02d}") for day in range(1, count + 1)])
    with django_assert_num_queries(4):
        assert len(what_past_lines_mean(lines, AT)) == count


def test_through_the_page(marit: Person) -> None:
    client = visitor(person=marit)
    assert "Past showings from old files" in client.get("/light/").content.decode()
    assert client.get("/light/past/table.csv").content.startswith(b"\xef\xbb\xbfObject number")
    sheet = BytesIO(table_of(row(), row(**{"Object number": "HCM.0"})))
    sheet.name = "past.csv"
    page = client.post("/light/past/", {"file": sheet, "look": "1"}).content.decode()
    assert "1 line can be entered, 1 can’t yet." in page
    assert not LightEntry.objects.exists()
    kept = page.split('name="lines" value="')[1].split('"')[0].replace("&quot;", '"')
    said = client.post("/light/past/", {"lines": kept, "enter": "1"}, follow=True).content.decode()
    assert "1 past showing entered as estimates." in said
    assert visitor(Role.CURATOR).get("/light/past/").status_code == 403
