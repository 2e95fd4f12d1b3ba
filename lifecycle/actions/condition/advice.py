"""Recommendations: each open one stands as a task until somebody says how it was dealt with."""

from datetime import date, datetime

from django.db import transaction
from django.db.models import Max

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.draft import about_report, open_draft
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.condition import (
    ConditionReport,
    Recommendation,
    RecommendationAnswer,
)
from lifecycle.records.models.condition.words import Advice
from lifecycle.records.models.people import Person


@transaction.atomic
def recommend(
    *,
    report: ConditionReport,
    about: Advice,
    text: str,
    by: Person,
    role: Role,
    at: datetime,
    due_on: date | None = None,
) -> Recommendation:
    """Add a recommendation to a draft.

    :raises Refused: no text, or due before the day it is written
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = []
    if not text.strip():
        reasons.append(Reason("Say what you recommend.", "text", "condition.advice"))
    if due_on is not None and due_on < museum_day(at):
        reasons.append(Reason("The day lies in the past.", "due_on", "condition.advice"))
    if reasons:
        raise Refused(reasons)
    last = kept.recommendations.aggregate(last=Max("number"))["last"] or 0
    advice = Recommendation(
        report=kept, number=last + 1, about=about, text=text.strip(), due_on=due_on
    )
    return advice.keep(by=by, role=role, why=f"recommendation about {about.label}", at=at)


@transaction.atomic
def take_back_recommendation(
    *, recommendation: Recommendation, by: Person, role: Role, at: datetime
) -> Recommendation:
    """Take a recommendation out of the draft."""
    open_draft(recommendation.report, by=by, role=role, at=at)
    kept = Recommendation.objects.get(pk=recommendation.pk)
    kept.taken_back = True
    return kept.keep(by=by, role=role, why="recommendation taken back", at=at)


@transaction.atomic
def answer_recommendation(
    *, recommendation: Recommendation, text: str, by: Person, role: Role, at: datetime
) -> RecommendationAnswer:
    """Say how a recommendation of a signed report was dealt with.

    :raises Refused: no text, or the report is still a draft
    """
    report = ConditionReport.objects.select_for_update(of=("self",)).get(
        pk=recommendation.report_id
    )
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_report(report))
    reasons = []
    if not report.signed:
        text_of_reason = f"{report} is not signed yet: take the recommendation back instead."
        reasons.append(Reason(text_of_reason, code="condition.advice"))
    if not text.strip():
        reasons.append(Reason("Say how it was dealt with.", "text", "condition.advice"))
    if reasons:
        raise Refused(reasons)
    return RecommendationAnswer(
        recommendation=recommendation, text=text.strip(), by=by, role=role, at=at
    ).append()
