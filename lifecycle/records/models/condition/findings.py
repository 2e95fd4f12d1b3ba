"""Features that keep their number for the life of the object, and how each report found them."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Activity, FeatureState, Layer, Severity
from lifecycle.records.base import Kept, KeptQuerySet, choices, int_choices, kept_history, one_of
from lifecycle.records.models.condition.reports import ConditionReport
from lifecycle.records.models.condition.words import Zone


class Feature(Kept):
    """The lasting thing on the object: F7 is F7 in every report, for decades."""

    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="features"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="features")
    number = models.PositiveIntegerField()
    term = models.ForeignKey(
        "records.Word", on_delete=models.PROTECT, related_name="features_so_named"
    )

    objects = KeptQuerySet["Feature"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["museum_object", "number"], name="feature_number_for_life"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="feature_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"F{self.number}"


class Observation(Kept):
    """How one report found one feature: where, how large, how bad, and against the report before.

    Place: a zone of the grid, or a mark on a picture, or where there is no picture a box in percent
    of the face from its top left corner, or for solids a clock position. Lengths in millimetres.
    The mark is kept as a selector of the W3C Web Annotation model (``science/selectors.py``).
    """

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="observations"
    )
    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="observations")
    term = models.ForeignKey(
        "records.Word", on_delete=models.PROTECT, related_name="observations_so_named"
    )
    state = models.CharField(
        max_length=20, choices=choices(FeatureState), default=FeatureState.NOT_LOOKED_AT
    )
    layer = models.CharField(max_length=20, choices=choices(Layer), blank=True, default="")
    zone = models.CharField(max_length=2, choices=Zone.choices, blank=True, default="")
    box_left = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    box_top = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    box_width = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    box_height = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    selector = models.JSONField(
        "mark on the picture",
        null=True,
        blank=True,
        help_text="A FragmentSelector or SvgSelector of the W3C Web Annotation Data Model, "
        "in pixels of the picture it is marked on.",
    )
    marked_on = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="marked_observations",
    )
    clock_position = models.PositiveSmallIntegerField(null=True, blank=True)
    length_mm = models.DecimalField(
        "length (mm)", max_digits=7, decimal_places=1, null=True, blank=True
    )
    width_mm = models.DecimalField(
        "width (mm)", max_digits=7, decimal_places=1, null=True, blank=True
    )
    count = models.PositiveIntegerField("how many", null=True, blank=True)
    severity = models.PositiveSmallIntegerField(
        choices=int_choices(Severity), null=True, blank=True
    )
    activity = models.CharField(max_length=10, choices=choices(Activity), blank=True, default="")
    seen_in = models.ForeignKey(
        "records.LightUsed",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="observations",
    )
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_observations",
    )
    note = models.TextField(blank=True, default="")
    revision = models.PositiveIntegerField(default=1)
    written_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="observations_written"
    )
    written_at = models.DateTimeField()
    taken_back = models.BooleanField("recorded in error", default=False)

    objects = KeptQuerySet["Observation"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "feature"], name="observation_once"),
            models.CheckConstraint(
                condition=Q(
                    box_left__isnull=True,
                    box_top__isnull=True,
                    box_width__isnull=True,
                    box_height__isnull=True,
                )
                | Q(
                    box_left__isnull=False,
                    box_top__isnull=False,
                    box_width__isnull=False,
                    box_height__isnull=False,
                    box_left__gte=0,
                    box_top__gte=0,
                    box_width__gt=0,
                    box_height__gt=0,
                    box_left__lte=100 - F("box_width"),
                    box_top__lte=100 - F("box_height"),
                ),
                name="observation_box_on_the_picture",
            ),
            models.CheckConstraint(
                condition=Q(selector__isnull=True, marked_on__isnull=True)
                | Q(selector__isnull=False, marked_on__isnull=False, box_left__isnull=True),
                name="observation_mark_names_its_picture",
            ),
            models.CheckConstraint(
                condition=Q(clock_position__isnull=True) | Q(clock_position__range=(1, 12)),
                name="observation_clock_position",
            ),
            models.CheckConstraint(
                condition=Q(length_mm__isnull=True) | Q(length_mm__gt=0),
                name="observation_length_positive",
            ),
            models.CheckConstraint(
                condition=Q(width_mm__isnull=True) | Q(width_mm__gt=0),
                name="observation_width_positive",
            ),
            models.CheckConstraint(
                condition=Q(severity__isnull=True) | Q(severity__in=[s.value for s in Severity]),
                name="observation_severity_known",
            ),
            models.CheckConstraint(
                condition=Q(zone__in=["", *Zone.values]), name="observation_zone_known"
            ),
            one_of("state", FeatureState, "observation_state_known"),
            one_of("layer", Layer, "observation_layer_known", blank=True),
            one_of("activity", Activity, "observation_activity_known", blank=True),
        ]

    def __str__(self) -> str:
        return f"feature {self.feature_id} in report {self.report_id}"
