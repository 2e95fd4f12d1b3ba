"""A running exhibition taken over from a table: seen, then line by line, gaps named."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from lifecycle.actions.display import taking_over
from lifecycle.actions.display import taking_over_list as action
from lifecycle.actions.display.taking_over import MISSING
from lifecycle.actions.display.taking_over_list import (
    ask_to_take_over,
    faults_with,
    take_over_line,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.writing import csv_bytes, xlsx_bytes
from lifecycle.exchange.taking_over_list import (
    COLUMNS,
    UnreadableTakeOver,
    headings,
    line_typed,
    lines_of_table,
)
from lifecycle.jobs import sweep
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.display.taking_over_lines import (
    TakenLine,
    outcome_of,
    prefilled,
    what_lines_mean,
)
from lifecycle.records.models import (
    DisplayPeriod,
    Document,
    Exhibition,
    HouseRules,
    LightEntry,
    MuseumObject,
    Showing,
    TakeOver,
    Work,
    WorkState,
)
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_place,
)
from tests.builders.display import Crew, make_case, make_crew
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

NOW = datetime.now(UTC)
FULL = {
    "Face": "recto",
    "There since, at the earliest": f"{NOW - timedelta(days=90):%Y-%m-%d}",
    "Last report": "none known",
    "Light low": "10000",
    "Light likely": "12,000.0".replace(",", ""),
    "Light high": "20000",
    "Light estimated from": "50 lx for 51 h a week",
}


class Walls:
    """A museum that begins with an exhibition on its walls."""

    def __init__(self, count: int = 3) -> None:
        make_museum()
        self.crew: Crew = make_crew()
        make_class()
        rules = HouseRules.objects.get()
        rules.taking_over_until = (NOW + timedelta(days=60)).date()
        rules.keep(**kept_by())
        today = NOW.date()
        self.exhibition: Exhibition = make_exhibition(
            short="RBN",
            install_from=today - timedelta(days=100),
            opens=today - timedelta(days=90),
            closes=today + timedelta(days=60),
            deinstall_until=today + timedelta(days=80),
        )
        self.case, self.positions = make_case("N1", count)
        self.exhibition.places.add(self.case)
        self.things: list[MuseumObject] = []
        for place in self.positions:
            thing = make_object(current_location=place)
            make_face(thing, label="recto")
            self.things.append(thing)

    def rows(self, **changes: str) -> list[dict[str, str]]:
        return [FULL | line | changes for line in prefilled(self.exhibition)]

    def lines(self, rows: Sequence[dict[str, str]]) -> list[TakenLine]:
        table = csv_bytes(headings(), [[row.get(name, "") for name in COLUMNS] for row in rows])
        return lines_of_table(read_table(table, "walls.csv"), MISSING)

    @property
    def acting(self) -> dict[str, Any]:
        return {"by": self.crew.registrar, "role": Role.REGISTRAR, "at": NOW}

    def ask(self, rows: Sequence[dict[str, str]], scans: dict[str, Document] | None = None) -> Work:
        return ask_to_take_over(
            **self.acting,
            exhibition=self.exhibition,
            conservator=self.crew.conservator,
            lines=self.lines(rows),
            scans=scans or {},
        )


@pytest.fixture
def walls() -> Walls:
    return Walls()


def test_the_table_holds_what_is_known_of_every_position(walls: Walls) -> None:
    make_place("spare", PlaceKind.POSITION, parent=walls.case)
    lines = prefilled(walls.exhibition)
    assert [line.get("Object number", "") for line in lines] == [
        *(thing.object_number for thing in walls.things),
        "",
    ]
    assert lines[0]["Face"] == "recto"
    row = [lines[0].get(column, "") for column in COLUMNS]
    for written, name in (
        (csv_bytes(headings(), [row]), "walls.csv"),
        (xlsx_bytes(headings(), [row], "RBN"), "walls.xlsx"),
    ):
        table = read_table(written, name)
        assert [heading.split(" (")[0] for heading in table.headings] == list(COLUMNS)


def test_a_whole_exhibition_is_taken_over_with_its_gaps_named() -> None:
    walls = Walls(40)
    work = walls.ask(walls.rows())
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.DONE
    assert work.doing == "40 objects taken over, 0 lines left with their reasons."
    assert Showing.objects.filter(stage=Stage.ON_DISPLAY, taken_over_on=NOW.date()).count() == 40
    assert DisplayPeriod.objects.filter(closed_at=None).count() == 40
    assert LightEntry.objects.count() == 40
    lines = outcome_of(work, walls.exhibition)
    assert all(line.showing is not None for line in lines)
    gaps = set(lines[0].gaps)
    assert {"no signed baseline report", "no light readings so far"} <= gaps
    assert "no facsimile of the hidden face" not in gaps


def test_bad_lines_say_their_number_and_why_and_the_good_ones_go_on(walls: Walls) -> None:
    rows = walls.rows()
    rows[0] |= {"Object number": f"{walls.things[0].object_number}0"}
    rows[1] |= {"Light high": "1", "Place": "nowhere", "Last report": ""}
    work = walls.ask(rows)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert [finding.split(":")[0] for finding in work.findings] == ["2", "3"]
    assert f"Near it: {walls.things[0].object_number}" in work.findings[0]
    for words in ("No place is called “nowhere”.", "write: none known"):
        assert words in work.findings[1]
    assert Showing.objects.get().museum_object == walls.things[2]
    assert [line.because != "" for line in outcome_of(work, walls.exhibition)] == [
        True,
        True,
        False,
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"Face": "verso"}, "no face “verso”; faces on record: recto"),
        ({"There since, at the earliest": ""}, "Say since when"),
        ({"There since, at the earliest": "2099-01-01"}, "lies in the future"),
        ({"There since, at the earliest": "3/4/2026"}, "may be day or month first"),
        ({"Light low": "99999"}, "Low, likely and high follow each other"),
        ({"Light likely": ""}, "given three times"),
        ({"Light estimated from": ""}, "estimated from"),
        ({"Last report": "CR-0007"}, "Attach the scan of the last report."),
        ({"Last report": "CR-0007", "Scan": "cr7.pdf"}, "“cr7.pdf” was not brought"),
        ({"Stage": "returned"}, "is no stage at which an object is taken over"),
        ({"Missing": "no frame"}, "is not in the list"),
        ({"Missing": "signed"}, "is not in the list"),
    ],
)
def test_each_fault_of_a_line_is_named_before_anything_is_written(
    walls: Walls, change: dict[str, str], said: str
) -> None:
    line = walls.lines([walls.rows()[0] | change])[0]
    meant = what_lines_mean([line], walls.exhibition)[0]
    assert said in " ".join(faults_with(meant, {}, NOW))
    with pytest.raises(Refused) as refused:
        take_over_line(
            **walls.acting,
            exhibition=walls.exhibition,
            conservator=walls.crew.conservator,
            line=line,
            scans={},
        )
    assert said in str(refused.value)
    assert not Showing.objects.exists()


def test_one_object_or_one_position_twice_is_seen(walls: Walls) -> None:
    rows = walls.rows()
    rows[1] |= {"Object number": rows[0]["Object number"].lower()}
    rows[2] |= {"Place": rows[0]["Place"]}
    faults = [" ".join(one.faults) for one in what_lines_mean(walls.lines(rows), walls.exhibition)]
    assert "stands in 2 lines" in faults[0]
    assert "stands in 2 lines" in faults[1]
    assert "it holds one object" in faults[2]


def test_what_the_line_says_is_missing_goes_above_what_the_records_show(walls: Walls) -> None:
    rows = walls.rows()
    rows[0] |= {"Missing": "nothing"}
    rows[1] |= {"Missing": "no signed baseline report; part A"}
    gaps = [one.gaps for one in what_lines_mean(walls.lines(rows), walls.exhibition)]
    assert gaps[0] == ()
    assert gaps[1] == ("baseline", "part_a")
    assert "install_check" in gaps[2]


def test_a_worker_that_died_over_a_line_leaves_nothing_done_twice(
    walls: Walls, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = walls.ask(walls.rows())
    real = taking_over.take_over
    calls = []

    def dies(**said: Any) -> Showing:
        made = real(**said)
        calls.append(made)
        if len(calls) == 2:
            raise RuntimeError("killed")
        return made

    monkeypatch.setattr(action, "take_over", dies)
    sweep.do_work(str(work.uid))
    assert Showing.objects.count() == 1
    work.refresh_from_db()
    assert (work.state, work.done) == (WorkState.WAITING, 1)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.DONE
    assert Showing.objects.count() == 3
    line = walls.lines(walls.rows())[0]
    done = take_over_line(
        **walls.acting,
        exhibition=walls.exhibition,
        conservator=walls.crew.conservator,
        line=line,
        scans={},
    )
    assert Showing.objects.count() == 3
    assert done.museum_object == walls.things[0]


def test_it_is_refused_outside_the_taking_over_period(walls: Walls) -> None:
    rules = HouseRules.objects.get()
    rules.taking_over_until = (NOW - timedelta(days=2)).date()
    rules.keep(**kept_by())
    with pytest.raises(Refused, match="past or not set"):
        walls.ask(walls.rows())
    line = walls.lines(walls.rows())[0]
    with pytest.raises(Refused, match="time for taking over"):
        take_over_line(
            **walls.acting,
            exhibition=walls.exhibition,
            conservator=walls.crew.conservator,
            line=line,
            scans={},
        )


def test_only_a_registrar_takes_over_and_a_conservator_stands_beside(walls: Walls) -> None:
    said: dict[str, Any] = {
        "exhibition": walls.exhibition,
        "lines": walls.lines(walls.rows()),
        "scans": {},
    }
    with pytest.raises(NotAllowed):
        ask_to_take_over(
            by=walls.crew.conservator,
            role=Role.CONSERVATOR,
            at=NOW,
            conservator=walls.crew.conservator,
            **said,
        )
    with pytest.raises(Refused, match="no post as conservator"):
        ask_to_take_over(**walls.acting, conservator=walls.crew.curator, **said)


def test_forty_lines_take_as_many_questions_as_three(django_assert_num_queries: Any) -> None:
    walls = Walls(12)
    rows = walls.rows()
    for some in (rows[:3], rows):
        lines = walls.lines(some)
        with django_assert_num_queries(10):
            assert len(what_lines_mean(lines, walls.exhibition)) == len(some)


def test_a_table_without_a_number_column_is_refused_in_words() -> None:
    with pytest.raises(UnreadableTakeOver, match="No column is called"):
        lines_of_table(read_table(csv_bytes(["Thing"], [["x"]]), "x.csv"), MISSING)
    with pytest.raises(UnreadableTakeOver, match="No line"):
        lines_of_table(read_table(csv_bytes(headings(), [["", "A title"]]), "x.csv"), MISSING)


def test_a_line_read_again_from_what_was_typed_is_the_same(walls: Walls) -> None:
    for line in walls.lines(walls.rows()):
        assert line_typed(line.number, line.typed, MISSING) == line


def scan(name: str) -> BytesIO:
    sheet = BytesIO()
    Image.new("RGB", (60, 40), (200, 190, 160)).save(sheet, "PNG")
    sheet.seek(0)
    sheet.name = name
    return sheet


def file_of(walls: Walls, rows: Sequence[dict[str, str]]) -> BytesIO:
    sheet = BytesIO(
        xlsx_bytes(headings(), [[row.get(name, "") for name in COLUMNS] for row in rows], "RBN")
    )
    sheet.name = "walls.xlsx"
    return sheet


def test_through_pages_with_scans_brought_beside(walls: Walls) -> None:
    registrar: Client = visitor(person=walls.crew.registrar)
    here = f"/exhibitions/{walls.exhibition.uid}/take-over-list/"
    assert (
        "Take over from a table"
        in registrar.get(f"/exhibitions/{walls.exhibition.uid}/").content.decode()
    )
    got = registrar.get(f"/exhibitions/{walls.exhibition.uid}/take-over-table.xlsx")
    assert got.content.startswith(b"PK")
    assert (
        registrar.get(f"/exhibitions/{walls.exhibition.uid}/take-over-table.exe").status_code == 404
    )
    rows = walls.rows()
    rows[2] |= {"Last report": "CR-0007, 3 May 2024", "Scan": "Reports/CR7.PNG"}
    page = registrar.post(here, {"file": file_of(walls, rows), "look": "1"}).content.decode()
    lines = page.split("<tbody>")[1]
    assert lines.index("was not brought") < lines.index("no signed baseline report")
    assert "2 lines can be taken over, 1 can’t yet" in page
    assert f"N1, {walls.positions[0].name}" in page
    assert not Showing.objects.exists()
    page = registrar.post(
        here, {"file": file_of(walls, rows), "scans": [scan("cr7.png")], "look": "1"}
    ).content.decode()
    assert "3 lines can be taken over" in page
    assert "no signed baseline report" in page
    kept = {
        name: page.split(f'name="{name}" value="')[1].split('"')[0].replace("&quot;", '"')
        for name in ("lines", "brought")
    }
    asked = registrar.post(here, kept | {"take_over": "1"}).content.decode()
    assert "Name the conservator who stands beside." in asked
    said = kept | {"take_over": "1", "conservator": str(walls.crew.conservator.uid)}
    answer = registrar.post(here, said)
    work = Work.objects.get()
    assert answer.headers["Location"] == f"/take-overs/{work.uid}/"
    sweep.do_work(str(work.uid))
    done = registrar.get(f"/take-overs/{work.uid}/").content.decode()
    assert "hx-get" not in done
    assert "3 of 3 objects are taken over" in done
    report = TakeOver.objects.get(showing__museum_object=walls.things[2])
    assert report.last_report_scan is not None
    assert report.last_report == "CR-0007, 3 May 2024"
