"""What signed reports wait for: advice, next checks, signatures. Rows to facts."""

from datetime import date, datetime
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, QuerySet

from lifecycle.process.days import day_words
from lifecycle.process.duties.of_objects import (
    CHECK_NOTICE,
    AdviceFacts,
    AwaitedFacts,
    CheckFacts,
)
from lifecycle.process.working_days import working_days_after
from lifecycle.queries.condition.known import FULL, standing
from lifecycle.queries.days_off import days_off_on
from lifecycle.records.models.condition import (
    ConditionReport,
    LeftUnsigned,
    Recommendation,
    RecommendationAnswer,
)
from lifecycle.records.models.signing import Signature


def _day(at: datetime | None, zone: ZoneInfo, otherwise: datetime) -> date:
    return (at or otherwise).astimezone(zone).date()


def answers_of() -> "QuerySet[RecommendationAnswer]":
    """The answers to a recommendation of an outer query; they hold for corrected versions too."""
    return RecommendationAnswer.objects.filter(
        recommendation__report__report_no=OuterRef("report__report_no"),
        recommendation__number=OuterRef("number"),
    )


def open_recommendations() -> "QuerySet[Recommendation]":
    """Those of signed reports that nobody answered."""
    return (
        Recommendation.objects.filter(~Exists(answers_of()), standing("report"), taken_back=False)
        .exclude(report__digest="")
        .select_related("report__museum_object")
        .defer("report__signed_text")
    )


def open_advice(zone: ZoneInfo) -> list[AdviceFacts]:
    """Return every recommendation of a signed report that nobody answered; one query."""
    return [
        AdviceFacts(
            uid=str(row.uid),
            report_no=row.report.report_no,
            about=row.get_about_display(),
            text=row.text,
            written_on=_day(row.report.examined_at, zone, row.report.entered_at),
            due_on=row.due_on,
            object_id=row.report.museum_object_id,
            object_number=row.report.museum_object.object_number,
            title=row.report.museum_object.title,
        )
        for row in open_recommendations().order_by("pk")
    ]


def checks_due(today: date, zone: ZoneInfo) -> list[CheckFacts]:
    """Return the checks due within the notice, of the last full report of each object; one query.

    A later full report settles the check of an earlier one, whether it names a next one or not.
    """
    later = ConditionReport.objects.filter(
        museum_object=OuterRef("museum_object"),
        examined_at__gt=OuterRef("examined_at"),
        kind__in=sorted(FULL),
    ).exclude(digest="")
    rows = (
        ConditionReport.objects.filter(
            ~Exists(later), standing("pk"), next_check_due__lte=today + CHECK_NOTICE
        )
        .exclude(digest="")
        .select_related("museum_object")
        .defer("signed_text")
        .order_by("next_check_due", "pk")
    )
    return [
        CheckFacts(
            report_uid=str(row.uid),
            report_no=row.report_no,
            examined_on=_day(row.examined_at, zone, row.entered_at),
            due_on=row.next_check_due,
            object_id=row.museum_object_id,
            object_uid=str(row.museum_object.uid),
            object_number=row.museum_object.object_number,
            title=row.museum_object.title,
        )
        for row in rows
        if row.next_check_due is not None
    ]


SIGNATURE_DAYS: Final = 5
"""Working days in which a signature that is waited for should be in."""


def awaited_signatures(today: date, zone: ZoneInfo) -> list[AwaitedFacts]:
    """Return who left before signing and has not signed since; two queries at most."""
    signed = Signature.objects.filter(
        record_uid=OuterRef("report__uid"),
        record_version=OuterRef("report__version"),
        person=OuterRef("person"),
        capacity=OuterRef("capacity"),
    )
    rows = (
        LeftUnsigned.objects.filter(~Exists(signed), standing("report"))
        .select_related("report__museum_object", "person")
        .defer("report__signed_text")
        .order_by("left_at", "pk")
    )
    found = list(rows)
    days_off = days_off_on(today) if found else frozenset()
    return [
        AwaitedFacts(
            uid=str(row.uid),
            report_uid=str(row.report.uid),
            report_no=row.report.report_no,
            person=row.person.full_name,
            capacity=row.get_capacity_display(),
            left_at=f"{row.left_at.astimezone(zone):%H:%M} on "
            f"{day_words(row.left_at.astimezone(zone).date())}",
            due_on=working_days_after(
                row.left_at.astimezone(zone).date(), SIGNATURE_DAYS, days_off
            ),
            because=row.because,
            object_number=row.report.museum_object.object_number,
            title=row.report.museum_object.title,
        )
        for row in found
    ]
