"""The two looks after display, at the case and at the bench; and the verdict on changes."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    kept_history,
)
from lifecycle.records.models.condition.findings import Observation
from lifecycle.records.models.condition.reports import ConditionReport, Recommendation
from lifecycle.records.models.condition.words import AsPlaced, NextStep


class AsFound(Kept):
    """Part A: what is seen at the case before anything is moved. No grading is asked for.

    Lamps-off time, last reading, mount and who received it are facts of the taking down and stand
    with it.
    """

    frozen_with: ClassVar[str] = "report"

    report = models.OneToOneField(
        ConditionReport, on_delete=models.PROTECT, related_name="as_found"
    )
    as_placed = models.CharField(max_length=12, choices=AsPlaced.choices)
    as_placed_note = models.CharField(max_length=240, blank=True, default="")
    dust = models.CharField("dust inside", max_length=240, blank=True, default="")
    insects = models.PositiveIntegerField("insects or trap count", null=True, blank=True)
    pests_note = models.CharField(max_length=240, blank=True, default="")
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_as_found",
    )
    emergency = models.BooleanField("emergency: written after the object was out", default=False)

    objects = KeptQuerySet["AsFound"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(as_placed__in=AsPlaced.values), name="asfound_as_placed_known"
            ),
        ]

    def __str__(self) -> str:
        return f"as found in report {self.report_id}"


class BenchCheck(Kept):
    """Part B: what follows from the comparison at the bench."""

    frozen_with: ClassVar[str] = "report"

    report = models.OneToOneField(
        ConditionReport, on_delete=models.PROTECT, related_name="bench_check"
    )
    same_lights = models.BooleanField("same lights as the earlier report", default=False)
    lights_note = models.CharField("other lights, because", max_length=240, blank=True, default="")
    next_step = models.CharField(max_length=12, choices=NextStep.choices)
    lender_told_at = models.DateTimeField(null=True, blank=True)
    lender_told_by = models.ForeignKey(
        "records.Person",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="told_lenders_of_condition",
    )

    objects = KeptQuerySet["BenchCheck"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(next_step__in=NextStep.values), name="benchcheck_next_step_known"
            ),
            models.CheckConstraint(
                condition=Q(lender_told_at__isnull=True, lender_told_by__isnull=True)
                | Q(lender_told_at__isnull=False, lender_told_by__isnull=False),
                name="benchcheck_lender_told_by_someone",
            ),
        ]

    def __str__(self) -> str:
        return f"bench check in report {self.report_id}"


class ChangeVerdict(AppendOnly):
    """A person's answer to one changed or new feature: between which looks it changed, and why.

    The interval is computed and stored with its sources, so that the answer can be read again
    when more is known; a later verdict is a further row.
    """

    observation = models.ForeignKey(Observation, on_delete=models.PROTECT, related_name="verdicts")
    last_unchanged_at = models.DateTimeField(null=True, blank=True)
    last_unchanged_source = models.CharField(max_length=240)
    last_unchanged_report = models.ForeignKey(
        ConditionReport,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="verdicts_seen_unchanged",
    )
    first_changed_at = models.DateTimeField()
    first_changed_report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="verdicts_seen_changed"
    )
    did_not_look = models.TextField("looks between that did not look there", blank=True, default="")
    between = models.TextField("what happened between", blank=True, default="")
    verdict = models.TextField()
    cause = models.TextField("cause, if known", blank=True, default="")
    incident_needed = models.BooleanField(default=False)
    incident = models.ForeignKey(
        "records.Incident",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="change_verdicts",
    )
    by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="change_verdicts"
    )
    role = models.CharField(max_length=24)
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["ChangeVerdict"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_unchanged_at__isnull=True)
                | Q(last_unchanged_at__lte=F("first_changed_at")),
                name="changeverdict_interval_ordered",
            ),
            models.CheckConstraint(condition=~Q(verdict=""), name="changeverdict_says_something"),
        ]

    def __str__(self) -> str:
        return f"verdict on observation {self.observation_id}"


class RecommendationAnswer(AppendOnly):
    """How a recommendation was dealt with; the recommendation itself stays as it was signed."""

    recommendation = models.ForeignKey(
        Recommendation, on_delete=models.PROTECT, related_name="answers"
    )
    text = models.TextField()
    by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="recommendations_answered"
    )
    role = models.CharField(max_length=24)
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["RecommendationAnswer"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(text=""), name="recommendationanswer_says_something"
            ),
        ]

    def __str__(self) -> str:
        return f"answer to recommendation {self.recommendation_id}"
