"""Papers out by age and place, what is expected back, and the counts of queries behind each."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.papers.filling.any_paper import words_for
from lifecycle.papers.standing import moved_on
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind, ReportKind
from lifecycle.queries.papers_out import (
    expected_back,
    on_showing,
    papers_of_showing,
    papers_out,
    sheets_out_of,
)
from lifecycle.queries.papers_to_print import printables
from lifecycle.queries.printable import Asked
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import CopyWord, PaperKind, Showing
from tests.builders.condition import start_draft
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.printing import (
    make_finding,
    make_movement,
    make_report,
    make_turn,
    on_display,
    printed,
    sign,
)

pytestmark = pytest.mark.django_db
WEEK_LATER = AT + timedelta(days=7)


def registrar() -> Any:
    return person_facts(make_person(Role.REGISTRAR), AT)


def test_papers_stand_by_age_with_days_overdue() -> None:
    old = printed(make_movement(), at=AT - timedelta(days=3))
    new = printed(make_movement(), at=AT)

    rows = papers_out(registrar(), WEEK_LATER)

    assert [row.print.print_no for row in rows] == [old.print_no, new.print_no]
    assert [row.age_days for row in rows] == [10, 7]
    assert rows[0].overdue_days == 6
    assert all(row.expected for row in rows)


def test_papers_can_be_asked_for_a_case_and_an_object() -> None:
    case = make_place()
    here = printed(make_movement(to_place=make_place(parent=case)))
    printed(make_movement())
    thing = here.about.get().museum_object

    in_case = papers_out(registrar(), AT, place=case)
    of_thing = papers_out(registrar(), AT, museum_object=thing)

    assert [row.print.pk for row in in_case] == [here.pk]
    assert [row.print.pk for row in of_thing] == [here.pk]


def test_a_working_copy_is_listed_only_when_everything_is_asked_for() -> None:
    printed(make_movement(), copy_word=CopyWord.WORKING)

    assert papers_out(registrar(), AT) == []
    (row,) = papers_out(registrar(), AT, everything=True)
    assert not row.expected
    assert row.state == "out"


@pytest.mark.parametrize("showings", [1, 3])
def test_what_is_expected_back_is_one_query(showings: int, django_assert_num_queries: Any) -> None:
    rows = [on_display() for _ in range(showings)]
    for row in rows:
        printed(row)

    with django_assert_num_queries(1):
        found = expected_back([row.pk for row in rows])

    assert sorted(found) == sorted(row.pk for row in rows)


def test_a_slip_is_expected_back_for_each_showing_on_it() -> None:
    first, second = on_display(), on_display()
    movement = make_movement(first.museum_object, showing=first)
    line = movement.lines.get()
    type(line)(movement=movement, museum_object=second.museum_object, showing=second).keep(
        **kept_by()
    )

    row = printed(movement)

    assert expected_back([first.pk, second.pk]) == {first.pk: [row], second.pk: [row]}


def test_the_part_of_the_showings_page_counts_what_is_out() -> None:
    showing = on_display()
    printed(showing)
    printed(showing, copy_word=CopyWord.WORKING)

    part = on_showing(showing, AT)

    assert len(part.papers) == 2
    assert [row.print.copy_word for row in part.expected] == ["to_sign"]


@pytest.mark.parametrize("prints", [1, 3])
def test_the_papers_of_a_showing_are_four_queries(
    prints: int, django_assert_num_queries: Any
) -> None:
    showing = on_display()
    for _ in range(prints):
        printed(showing)

    with django_assert_num_queries(4):
        assert len(papers_of_showing(showing, AT)) == prints


QUERIES = {"condition_report": 23, "movement_slip": 6}


@pytest.mark.parametrize("findings", [1, 30])
def test_filling_a_report_asks_the_same_however_many_findings(
    findings: int, django_assert_num_queries: Any
) -> None:
    report = with_findings(findings).condition_reports.get()

    with django_assert_num_queries(QUERIES["condition_report"]):
        words_for(report, AT)


@pytest.mark.parametrize("most", [70])
def test_filling_form_and_instruction_ask_the_same_however_many_findings(most: int) -> None:
    """The light account's own reads are pinned with it; here only that nothing grows."""
    counts = []
    for findings in (1, 30):
        showing = with_findings(findings)
        turn = make_turn(showing)
        with CaptureQueriesContext(connection) as asked:
            words_for(showing, AT)
        with CaptureQueriesContext(connection) as asked_too:
            words_for(turn, AT)
        counts.append((len(asked), len(asked_too)))

    assert counts[0] == counts[1]
    assert max(counts[0]) <= most


def with_findings(findings: int) -> Showing:
    showing = on_display(faces=2)
    face = showing.faces_wanted.get(order=1).face
    report = make_report(showing.museum_object, showing=showing)
    for _ in range(findings):
        make_finding(report, face)
    sign(report)
    return showing


@pytest.mark.parametrize("objects", [1, 6])
def test_filling_a_slip_asks_the_same_however_many_objects(
    objects: int, django_assert_num_queries: Any
) -> None:
    movement = make_movement(*(make_object() for _ in range(objects)))

    with django_assert_num_queries(QUERIES["movement_slip"]):
        words_for(movement, AT)


def test_a_print_has_not_moved_on_while_nothing_was_written() -> None:
    for record in (make_movement(), on_display(), make_turn(), make_report()):
        assert moved_on(printed(record)) is None


def test_a_later_version_of_a_report_is_named() -> None:
    report = sign(make_report())
    row = printed(report)
    make_report(
        report.museum_object,
        report_no=report.report_no,
        version=2,
        corrects=report,
        correction_note="The wrong face was named.",
    )

    moved = moved_on(row)

    assert moved is not None
    assert moved.newer == "version 2"


def test_what_there_is_to_print_follows_the_days_of_the_work() -> None:
    turn, movement = make_turn(), make_movement()
    late = make_turn(day=DAY + timedelta(days=30))

    rows = printables(registrar(), AT, Asked(), TO_PRINT)

    numbers = [row.number for row in rows]
    assert numbers.index(movement.movement_no) < numbers.index(turn.appointment_no)
    assert late.appointment_no not in numbers
    assert [row.number for row in printables(registrar(), AT, Asked(day=late.day), TO_PRINT)] == [
        late.appointment_no
    ]


@pytest.mark.parametrize("hanging", [1, 3])
def test_the_cases_of_an_exhibition_have_a_reading_sheet_and_their_conditions(
    hanging: int, django_assert_num_queries: Any
) -> None:
    case, show = make_place(kind=PlaceKind.CASE), make_exhibition()
    for _ in range(hanging):
        make_showing(exhibition=show, place=make_place(parent=case))
    make_showing(place=make_place(kind=PlaceKind.CASE))
    person, kinds = registrar(), {PaperKind.READING_SHEET, PaperKind.CASE_CONDITIONS}

    with django_assert_num_queries(18):
        rows = printables(person, AT, Asked(exhibition=show), TO_PRINT)

    offered = [row for row in rows if row.paper in kinds]
    assert {(row.paper, row.uid) for row in offered} == {(kind, case.uid) for kind in kinds}
    assert {len(row.objects) for row in offered} == {hanging}
    assert not kinds & {row.paper for row in printables(person, AT, Asked(), TO_PRINT)}


def test_a_technician_is_not_offered_papers_of_other_peoples_objects() -> None:
    make_turn()
    make_movement()
    make_report()

    technician = person_facts(make_person(Role.TECHNICIAN), AT)

    assert printables(technician, AT, Asked(), TO_PRINT) == []


def test_part_a_and_part_b_are_signed_on_one_form_and_other_reports_on_their_own() -> None:
    showing = on_display()
    form = printed(showing, copy_word=CopyWord.TO_SIGN)
    parts = [
        start_draft(showing.museum_object, kind=kind, showing=showing)
        for kind in (ReportKind.DEINSTALL_AT_CASE, ReportKind.DEINSTALL_AT_BENCH)
    ]
    other = start_draft(showing.museum_object, kind=ReportKind.IN_DISPLAY, showing=showing)
    own = printed(other)
    assert [list(sheets_out_of(report)) for report in (*parts, other)] == [[form], [form], [own]]
