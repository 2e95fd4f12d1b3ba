"""A condition report: who looked, when, where, in which light, at what, and what they conclude."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import (
    Certainty,
    CompareResult,
    Fit,
    Grade,
    LightKind,
    ReportKind,
    SeenAs,
    Stability,
)
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.condition.words import Advice, SectionName, TreatmentNeed
from lifecycle.records.signable import Signable, signable_constraints


class ConditionReport(Coded, Signable, Kept):
    """One examination of one object. A draft until ``digest`` stands; then frozen for ever.

    A correction is a new row with the same number, the next version and ``corrects`` pointing back.
    """

    report_no = models.CharField("report number", max_length=20)
    version = models.PositiveSmallIntegerField(default=1)
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    correction_note = models.TextField("what changed and why", blank=True, default="")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="condition_reports"
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="condition_reports",
    )
    kind = models.CharField(max_length=20, choices=choices(ReportKind))
    reason = models.ForeignKey(
        "records.Word", on_delete=models.PROTECT, related_name="reports_for_this_reason"
    )
    requested_by = models.ForeignKey(
        "records.Person",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="reports_requested",
    )
    examined_at = models.DateTimeField("examined at", null=True, blank=True)
    examined_until = models.DateTimeField("examined until", null=True, blank=True)
    examined_certainty = models.CharField(
        "how well the time is known",
        max_length=10,
        choices=choices(Certainty),
        default=Certainty.EXACT,
    )
    examiners = models.ManyToManyField("records.Person", related_name="reports_examined")
    present = models.TextField("also present", blank=True, default="")
    where = models.ForeignKey(
        "records.Place",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="reports_made_here",
    )
    light_there = models.ForeignKey(
        "records.Word",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="light_there_in_reports",
    )
    light_there_note = models.CharField(max_length=120, blank=True, default="")
    seen_as = models.CharField(max_length=24, choices=choices(SeenAs), blank=True, default="")
    components_complete = models.BooleanField(null=True, blank=True)
    components_note = models.TextField(blank=True, default="")
    everything_seen = models.BooleanField("everything could be seen", default=False)
    nothing_to_note = models.BooleanField("nothing to note", default=False)
    grade = models.CharField(max_length=12, choices=choices(Grade), blank=True, default="")
    stability = models.CharField(max_length=16, choices=choices(Stability), blank=True, default="")
    compared_with = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="compared_later_in",
    )
    none_known = models.TextField("no earlier report is known, because", blank=True, default="")
    result = models.CharField(
        "result against the earlier report",
        max_length=16,
        choices=choices(CompareResult),
        blank=True,
        default="",
    )
    fit_display = models.CharField(
        "fit for display", max_length=12, choices=choices(Fit), blank=True, default=""
    )
    fit_travel = models.CharField(
        "fit for travel", max_length=12, choices=choices(Fit), blank=True, default=""
    )
    fit_handling = models.CharField(
        "fit for handling", max_length=12, choices=choices(Fit), blank=True, default=""
    )
    fit_limits = models.TextField("limits", blank=True, default="")
    treatment_needed = models.CharField(
        max_length=16, choices=TreatmentNeed.choices, blank=True, default=""
    )
    next_check_due = models.DateField(null=True, blank=True)
    circumstances_revision = models.PositiveIntegerField(default=1, editable=False)
    conclusions_revision = models.PositiveIntegerField(default=1, editable=False)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="reports_entered"
    )
    struck_at = models.DateTimeField(null=True, blank=True, editable=False)
    struck_reason = models.TextField(blank=True, default="", editable=False)

    objects = KeptQuerySet["ConditionReport"].as_manager()
    history = kept_history(m2m_fields=[examiners])

    class Meta:
        constraints = [
            *signable_constraints("conditionreport"),
            models.UniqueConstraint(
                fields=["report_no", "version"], name="conditionreport_number_version_once"
            ),
            models.UniqueConstraint(
                fields=["corrects"],
                condition=Q(struck_at__isnull=True),
                name="conditionreport_corrected_once",
            ),
            models.UniqueConstraint(
                fields=["showing", "kind"],
                condition=Q(digest="", struck_at__isnull=True, showing__isnull=False, version=1)
                & Q(kind__in=[ReportKind.DEINSTALL_AT_CASE, ReportKind.DEINSTALL_AT_BENCH]),
                name="conditionreport_one_open_part_per_showing",
            ),
            models.CheckConstraint(
                condition=Q(version__gte=1)
                & (Q(version=1, corrects__isnull=True) | Q(version__gt=1, corrects__isnull=False)),
                name="conditionreport_later_versions_point_back",
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(correction_note=""),
                name="conditionreport_correction_says_why",
            ),
            models.CheckConstraint(
                condition=Q(examined_until__isnull=True)
                | Q(examined_at__isnull=False, examined_until__gte=F("examined_at")),
                name="conditionreport_examined_span_ordered",
            ),
            models.CheckConstraint(
                condition=~Q(examined_certainty=Certainty.BETWEEN)
                | Q(examined_at__isnull=False, examined_until__isnull=False),
                name="conditionreport_between_has_both_ends",
            ),
            models.CheckConstraint(
                condition=Q(compared_with__isnull=True) | Q(none_known=""),
                name="conditionreport_compared_or_none_known",
            ),
            models.CheckConstraint(
                condition=Q(digest="") | Q(struck_at__isnull=True),
                name="conditionreport_signed_is_not_struck",
            ),
            one_of("kind", ReportKind, "conditionreport_kind_known"),
            one_of("examined_certainty", Certainty, "conditionreport_certainty_known"),
            one_of("seen_as", SeenAs, "conditionreport_seen_as_known", blank=True),
            one_of("grade", Grade, "conditionreport_grade_known", blank=True),
            one_of("stability", Stability, "conditionreport_stability_known", blank=True),
            one_of("result", CompareResult, "conditionreport_result_known", blank=True),
            one_of("fit_display", Fit, "conditionreport_fit_display_known", blank=True),
            one_of("fit_travel", Fit, "conditionreport_fit_travel_known", blank=True),
            one_of("fit_handling", Fit, "conditionreport_fit_handling_known", blank=True),
        ]

    def __str__(self) -> str:
        return f"{self.report_no} v{self.version}"


class ReportFace(Kept):
    """A face that the report covers, with the picture its findings are marked on."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="report_faces"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="in_reports")
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_faces_in_reports",
    )
    nothing_further = models.BooleanField("nothing further seen", default=False)
    dropped = models.BooleanField("not covered after all", default=False)

    objects = KeptQuerySet["ReportFace"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "face"], name="reportface_once_per_report"),
        ]

    def __str__(self) -> str:
        return f"face {self.face_id} in report {self.report_id}"


class NotSeen(Kept):
    """What could not be seen in this examination, and why."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(ConditionReport, on_delete=models.PROTECT, related_name="not_seen")
    what = models.ForeignKey(
        "records.Word", on_delete=models.PROTECT, related_name="not_seen_in_reports"
    )
    note = models.CharField(max_length=240, blank=True, default="")
    taken_back = models.BooleanField("seen after all", default=False)

    objects = KeptQuerySet["NotSeen"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "what"], name="notseen_once_per_report"),
        ]

    def __str__(self) -> str:
        return f"not seen {self.what_id} in report {self.report_id}"


class LightUsed(Kept):
    """A light the object was examined in. Strong lamps and UV are exposure: minutes are noted."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="lights_used"
    )
    number = models.PositiveSmallIntegerField()
    light = models.CharField(max_length=20, choices=choices(LightKind))
    direction_clock = models.PositiveSmallIntegerField(
        "direction, as a clock seen from the front", null=True, blank=True
    )
    instrument = models.CharField(max_length=120, blank=True, default="")
    magnification = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    minutes = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    lux = models.PositiveIntegerField("lux at the object", null=True, blank=True)
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_light_used",
    )
    note = models.CharField(max_length=240, blank=True, default="")
    taken_back = models.BooleanField("not used after all", default=False)

    objects = KeptQuerySet["LightUsed"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="lightused_number_once"),
            models.CheckConstraint(
                condition=Q(direction_clock__isnull=True) | Q(direction_clock__range=(1, 12)),
                name="lightused_direction_on_the_clock",
            ),
            models.CheckConstraint(
                condition=~Q(light=LightKind.RAKING) | Q(direction_clock__isnull=False),
                name="lightused_raking_has_direction",
            ),
            models.CheckConstraint(
                condition=~Q(light=LightKind.UV_FLUORESCENCE) | Q(minutes__isnull=False),
                name="lightused_uv_has_minutes",
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__gt=0),
                name="lightused_minutes_positive",
            ),
            models.CheckConstraint(
                condition=Q(magnification__isnull=True) | Q(magnification__gte=1),
                name="lightused_magnification_from_one",
            ),
            one_of("light", LightKind, "lightused_light_known"),
        ]

    def __str__(self) -> str:
        return f"light {self.number} of report {self.report_id}"


class ReportSection(Kept):
    """One section, in two blocks: what is there, and what it means. ``revision`` guards it.

    A section of revision 0 was taken by somebody and nothing is written in it yet.
    """

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(ConditionReport, on_delete=models.PROTECT, related_name="sections")
    name = models.CharField(max_length=20, choices=SectionName.choices)
    observed = models.TextField("what is there", blank=True, default="")
    interpretation = models.TextField("what it means", blank=True, default="")
    revision = models.PositiveIntegerField(default=1)
    written_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="sections_written"
    )
    written_at = models.DateTimeField()
    taken_by = models.ForeignKey(
        "records.Person",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="sections_taken",
        help_text="Who has it open to write.",
    )
    taken_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["ReportSection"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "name"], name="reportsection_once"),
            models.CheckConstraint(
                condition=Q(name__in=SectionName.values), name="reportsection_name_known"
            ),
            models.CheckConstraint(
                condition=Q(taken_by__isnull=True, taken_at__isnull=True)
                | Q(taken_by__isnull=False, taken_at__isnull=False),
                name="reportsection_taken_by_someone",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} of report {self.report_id}"


class Recommendation(Kept):
    """What the examiner advises; each open one stands as a task until it is dealt with."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="recommendations"
    )
    number = models.PositiveSmallIntegerField()
    about = models.CharField(max_length=12, choices=Advice.choices)
    text = models.TextField()
    due_on = models.DateField(null=True, blank=True)
    taken_back = models.BooleanField(default=False)

    objects = KeptQuerySet["Recommendation"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="recommendation_number_once"),
            models.CheckConstraint(
                condition=Q(about__in=Advice.values), name="recommendation_about_known"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="recommendation_says_something"),
        ]

    def __str__(self) -> str:
        return f"recommendation {self.number} of report {self.report_id}"
