"""Recommendations and next checks of signed reports are tasks on Today, in a showing or at rest."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.urls import reverse

from lifecycle.actions.condition.advice import answer_recommendation, recommend
from lifecycle.actions.condition.head import save_conclusions
from lifecycle.actions.condition.sign import correct_report
from lifecycle.papers.filling.condition_report import condition_report_words
from lifecycle.process.duties.duty import Band
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, ReportKind
from lifecycle.queries.condition.overview import on_object
from lifecycle.queries.condition.sheet import report_sheet
from lifecycle.queries.today import TodayLine, today_of
from lifecycle.records.models import Person
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.condition.words import Advice
from tests.builders.condition import (
    conclusions_with,
    fill_draft,
    make_finding,
    sign_as_author,
    start_draft,
)
from tests.builders.core import AT, make_face, make_museum, make_person

pytestmark = pytest.mark.django_db
DUE = date(2026, 9, 1)


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def of_objects(person: Person, days: int = 0) -> list[TodayLine]:
    lines = today_of(person, AT + timedelta(days=days))
    return [line for line in lines if line.key.split(":")[0] in {"advice", "check"}]


def asked_again(marit: Person) -> ConditionReport:
    """A signed report that asks for a sink mat, and to be looked at on 1 September."""
    face = make_face()
    report = start_draft(faces=[face], by=marit)
    fill_draft(report, by=marit)
    make_finding(report, face, by=marit)
    who = {"by": marit, "role": Role.CONSERVATOR, "at": AT}
    recommend(
        report=report,
        about=Advice.HOUSING,
        text="A sink mat,\nunbuffered.",
        due_on=DUE,
        **who,  # type: ignore[arg-type]
    )
    save_conclusions(
        report=report,
        conclusions=conclusions_with(report, next_check_due=DUE),
        revision=report.conclusions_revision,
        **who,  # type: ignore[arg-type]
    )
    report.refresh_from_db()
    assert of_objects(marit, days=80) == []  # a draft asks for nothing yet
    return sign_as_author(report, by=marit)


def test_a_recommendation_stands_on_today_until_somebody_says_how_it_was_dealt_with(
    marit: Person,
) -> None:
    report = asked_again(marit)
    (line,) = of_objects(marit)
    thing = report.museum_object
    assert line.text == f"Housing of {thing.object_number}: A sink mat, unbuffered."
    assert (line.due_on, line.band, line.object_number) == (DUE, Band.LATER, thing.object_number)
    advice = report.recommendations.get()
    assert (line.url_name, line.url_kwargs) == ("condition-advice-answer", {"uid": str(advice.uid)})
    assert reverse(line.url_name, kwargs=line.url_kwargs)
    assert of_objects(make_person(Role.REGISTRAR)) == []
    answer_recommendation(
        recommendation=advice, text="Made.", by=marit, role=Role.CONSERVATOR, at=AT
    )
    assert of_objects(marit) == []


def test_an_answer_holds_for_the_corrected_version_of_its_report_too(marit: Person) -> None:
    report = asked_again(marit)
    who: dict[str, Any] = {"by": marit, "role": Role.CONSERVATOR, "at": AT}
    answer_recommendation(recommendation=report.recommendations.get(), text="Made.", **who)

    again = correct_report(report=report, note="Its number was misread.", **who)
    sign_as_author(again, by=marit)

    assert again.recommendations.count() == 1
    assert of_objects(marit) == []
    assert on_object(report.museum_object, AT).advice == ()
    assert [vars(row)["answered"] for row in report_sheet(again).advice] == [True]


def test_a_signed_paper_tells_advice_and_meaning_apart_from_what_is_there(marit: Person) -> None:
    make_museum()
    report = asked_again(marit)
    assert [vars(row)["answered"] for row in report_sheet(report).advice] == [False]
    written = dict(condition_report_words(report, AT).written_so_far)
    said = "housing: A sink mat,\nunbuffered. Wanted by Tue 1 September 2026"
    assert written["Recommendation 1"].removesuffix(".") == said
    assert written["Support"].splitlines()[1] == "It means: Folded since it was made."
    assert written["Grade"].startswith("Fair: ")


def test_the_next_check_comes_on_today_four_weeks_before_and_goes_when_it_is_made(
    marit: Person,
) -> None:
    report = asked_again(marit)
    days = (DUE - AT.date()).days
    assert [line.key.split(":")[0] for line in of_objects(marit, days - 29)] == ["advice"]
    (_, check) = of_objects(marit, days - 28)
    assert check.key == f"check:{report.uid}"
    assert (check.due_on, check.query) == (DUE, "kind=call_back")
    assert [line.band for line in of_objects(marit, days + 1)] == [Band.OVERDUE] * 2
    later = AT + timedelta(days=days)
    # A glance through the glass is no check.
    glance = start_draft(report.museum_object, by=marit, at=later, kind=ReportKind.IN_DISPLAY)
    assert glance.pk
    assert len(of_objects(marit, days)) == 2
    again = start_draft(report.museum_object, by=marit, at=later, kind=ReportKind.CALL_BACK)
    row = again.observations.get()
    row.state = FeatureState.SAME
    row.keep(by=marit, role=Role.CONSERVATOR, why="test", at=later)
    fill_draft(again, by=marit, at=later)
    sign_as_author(again, by=marit, at=later)
    assert [line.key.split(":")[0] for line in of_objects(marit, days)] == ["advice"]
