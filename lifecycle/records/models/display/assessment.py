"""The display assessment: may it be shown, and under which conditions. Signed, then frozen."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import FitForDisplay, Orientation, Word
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.signable import Signable, signable_constraints


class AssessmentKind(Word):
    FROM_RECORDS = "from_records"
    GLANCE = "glance"
    AT_BENCH = "at_bench"


class RotationKind(Word):
    NONE = "none"
    TURN_TO_NEXT_FACE = "turn_to_next_face"
    SWAP_OBJECT = "swap_object"
    PART_TIME_COVERED = "part_time_covered"


class TravelAllowed(Word):
    NO = "no"
    WITHIN_BUILDING = "within_building"
    WITHIN_TOWN = "within_town"
    YES = "yes"


class Assessment(Coded, Signable, Kept):
    """Conditions of display for one showing. Limits are per face, in the unit of the name.

    A change after signing is a new version that names the one it replaces.
    """

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="assessments"
    )
    version = models.PositiveSmallIntegerField(default=1)
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    kind = models.CharField(max_length=12, choices=choices(AssessmentKind))
    fit_for_display = models.CharField(max_length=20, choices=choices(FitForDisplay))
    grounds = models.ManyToManyField("records.Word", related_name="+", blank=True)
    ground_note = models.TextField(blank=True, default="")
    treatment_hours = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    mount_hours = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    sensitivity_class = models.ForeignKey(
        "records.SensitivityClass", on_delete=models.PROTECT, related_name="+"
    )
    house_rules = models.ForeignKey(
        "records.HouseRules", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lux_ceiling = models.PositiveIntegerField("lux ceiling [lx]")
    uv_ceiling = models.PositiveIntegerField("UV ceiling [µW/lm]")
    max_dose_lx_h = models.PositiveIntegerField("most light in this showing, per face [lx·h]")
    max_weeks = models.PositiveSmallIntegerField("most weeks per face")
    t_min_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    t_max_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    rh_min = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    rh_max = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    rh_change_24h = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    rh_change_1h = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    support_rule = models.TextField(blank=True, default="")
    max_opening_angle = models.PositiveSmallIntegerField(null=True, blank=True)
    orientation = models.CharField(
        max_length=16, choices=choices(Orientation), default=Orientation.ANY.value
    )
    must_be_cased = models.BooleanField(default=True)
    glazing = models.CharField(max_length=200, blank=True, default="")
    rotation_plan = models.CharField(max_length=20, choices=choices(RotationKind))
    travel_allowed = models.CharField(
        max_length=16, choices=choices(TravelAllowed), default=TravelAllowed.WITHIN_BUILDING.value
    )
    look_every_days = models.PositiveSmallIntegerField()
    reading_every_days = models.PositiveSmallIntegerField()

    objects = KeptQuerySet["Assessment"].as_manager()
    history = kept_history(m2m_fields=[grounds])

    class Meta:
        constraints = [
            one_of("kind", AssessmentKind, "assessment_kind_known"),
            one_of("fit_for_display", FitForDisplay, "assessment_fit_known"),
            one_of("rotation_plan", RotationKind, "assessment_rotation_known"),
            one_of("travel_allowed", TravelAllowed, "assessment_travel_known"),
            one_of("orientation", Orientation, "assessment_orientation_known"),
            models.UniqueConstraint(fields=["showing", "version"], name="assessment_version_once"),
            models.CheckConstraint(
                condition=Q(t_min_c__isnull=True)
                | Q(t_max_c__isnull=True)
                | Q(t_max_c__gte=F("t_min_c")),
                name="assessment_temperature_ordered",
            ),
            models.CheckConstraint(
                condition=Q(rh_min__isnull=True)
                | Q(rh_max__isnull=True)
                | Q(rh_max__gte=F("rh_min"), rh_min__gte=0, rh_max__lte=100),
                name="assessment_humidity_ordered",
            ),
            *signable_constraints("assessment"),
        ]

    def __str__(self) -> str:
        return f"assessment v{self.version} (#{self.pk})"
