"""The museum object and its faces: a slim copy of what the museum's catalogue holds."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import (
    FaceKind,
    Hazard,
    HazardEvidence,
    Orientation,
    OwnerKind,
    Word,
)
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of


class MeasuredState(Word):
    CLOSED = "closed"
    OPEN = "open"
    UNFRAMED = "unframed"
    FRAMED = "framed"
    HOUSED = "housed"


class MuseumObject(Coded, Kept):
    object_number = models.CharField(
        max_length=60, unique=True, help_text="As it is marked on the object."
    )
    title = models.CharField(max_length=300)
    object_type = models.ForeignKey("records.Word", on_delete=models.PROTECT, related_name="+")
    maker = models.CharField(max_length=200, blank=True)
    date_text = models.CharField("date as catalogued", max_length=200, blank=True)
    owner_kind = models.CharField(
        max_length=8, choices=choices(OwnerKind), default=OwnerKind.MUSEUM.value
    )
    lender = models.ForeignKey(
        "records.Organisation",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="lent_objects",
    )
    materials = models.ManyToManyField("records.Word", blank=True, related_name="+")
    techniques = models.ManyToManyField("records.Word", blank=True, related_name="+")
    marks = models.CharField("marks and inscriptions", max_length=300, blank=True)
    weight_g = models.PositiveIntegerField("weight [g]", null=True, blank=True)
    handling_cautions = models.CharField(
        max_length=240, blank=True, help_text="Printed on every sheet that travels with it."
    )
    orientation_rule = models.CharField(
        max_length=16, choices=choices(Orientation), default=Orientation.ANY.value
    )
    sensitivity_class = models.ForeignKey(
        "records.SensitivityClass",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    class_basis = models.CharField(
        max_length=200,
        blank=True,
        help_text="By material list, by test, by published category, or a cautious guess.",
    )
    light_passes_through = models.BooleanField(
        default=False, help_text="Thin silk, glass plate: light on one face charges all faces."
    )
    moisture_caution = models.BooleanField(
        default=False, help_text="Ink or media that may not meet moisture or solvent unasked."
    )
    normal_location = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, null=True, blank=True, related_name="at_home"
    )
    current_location = models.ForeignKey(
        "records.Place",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="objects_here",
        help_text="Written by movements only.",
    )
    culturally_restricted = models.TextField(blank=True)
    source_community = models.CharField(
        max_length=200, blank=True, help_text="Asked before any treatment, where that was agreed."
    )

    objects = KeptQuerySet["MuseumObject"].as_manager()
    history = kept_history(m2m_fields=[materials, techniques])

    class Meta:
        constraints = [
            one_of("owner_kind", OwnerKind, "object_owner_known"),
            one_of("orientation_rule", Orientation, "object_orientation_known"),
            models.CheckConstraint(condition=~Q(object_number=""), name="object_numbered"),
            models.CheckConstraint(condition=~Q(title=""), name="object_titled"),
            models.CheckConstraint(
                condition=Q(owner_kind=OwnerKind.MUSEUM, lender=None)
                | Q(owner_kind=OwnerKind.LENDER, lender__isnull=False),
                name="object_lender_named_when_lent",
            ),
        ]

    def __str__(self) -> str:
        return self.object_number


class OtherNumber(Kept):
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="other_numbers"
    )
    kind = models.CharField(max_length=60)
    number = models.CharField(max_length=60)

    objects = KeptQuerySet["OtherNumber"].as_manager()
    history = kept_history()

    def __str__(self) -> str:
        return self.number


class Measure(Kept):
    """Height, width, depth in one state of the object."""

    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="measures"
    )
    state = models.CharField(max_length=10, choices=choices(MeasuredState))
    height_mm = models.DecimalField(max_digits=8, decimal_places=1)
    width_mm = models.DecimalField(max_digits=8, decimal_places=1)
    depth_mm = models.DecimalField(max_digits=8, decimal_places=1, null=True, blank=True)

    objects = KeptQuerySet["Measure"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["museum_object", "state"], name="measure_once_a_state"),
            models.CheckConstraint(
                condition=Q(height_mm__gt=0)
                & Q(width_mm__gt=0)
                & (Q(depth_mm=None) | Q(depth_mm__gt=0)),
                name="measure_positive",
            ),
            one_of("state", MeasuredState, "measure_state_known"),
        ]

    def __str__(self) -> str:
        return f"{self.state} {self.height_mm} × {self.width_mm} mm"


class Component(Kept):
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="components"
    )
    label = models.CharField(max_length=80)
    description = models.CharField(max_length=200, blank=True)

    objects = KeptQuerySet["Component"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["museum_object", "label"], name="component_label_once")
        ]

    def __str__(self) -> str:
        return self.label


class ObjectHazard(Kept):
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="hazards"
    )
    hazard = models.CharField(max_length=20, choices=choices(Hazard))
    evidence = models.CharField(max_length=12, choices=choices(HazardEvidence))
    found_on = models.DateField(null=True, blank=True)
    protection = models.CharField("protective equipment", max_length=200, blank=True)
    who_may_handle = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=200, blank=True)
    ended_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["ObjectHazard"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["museum_object", "hazard"],
                condition=Q(ended_on=None),
                name="hazard_once_an_object",
            ),
            one_of("hazard", Hazard, "hazard_known"),
            one_of("evidence", HazardEvidence, "hazard_evidence_known"),
        ]

    def __str__(self) -> str:
        return str(Hazard(self.hazard).label)


class Face(Kept):
    """The side, part or opening that can be turned to the visitor; it collects the light."""

    museum_object = models.ForeignKey(MuseumObject, on_delete=models.PROTECT, related_name="faces")
    kind = models.CharField(max_length=12, choices=choices(FaceKind))
    label = models.CharField(max_length=80, help_text="ff. 31v-32r, plate 5, front ...")
    landmark = models.CharField(
        max_length=120, help_text="What one sees at top left; the first words."
    )
    thumbnail = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    max_opening_angle = models.PositiveSmallIntegerField(
        "widest opening [°]", null=True, blank=True
    )
    sensitivity_class = models.ForeignKey(
        "records.SensitivityClass",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Overrides the object's.",
    )
    never_show = models.BooleanField(default=False)
    never_show_reason = models.CharField(max_length=200, blank=True)
    order = models.PositiveSmallIntegerField(default=1)

    objects = KeptQuerySet["Face"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["museum_object", "label"], name="face_label_once_an_object"
            ),
            one_of("kind", FaceKind, "face_kind_known"),
            models.CheckConstraint(
                condition=Q(max_opening_angle=None) | Q(max_opening_angle__lte=360),
                name="face_angle",
            ),
            models.CheckConstraint(
                condition=Q(never_show=False) | ~Q(never_show_reason=""),
                name="face_never_shown_because",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class Companionship(Kept):
    """Two objects that belong in one case: planned, placed and taken down with the other named."""

    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="companions"
    )
    companion = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="companion_of"
    )
    reason = models.CharField(max_length=200)
    ended_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["Companionship"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["museum_object", "companion"],
                condition=Q(ended_on=None),
                name="companion_once",
            ),
            models.CheckConstraint(
                condition=~Q(museum_object=F("companion")), name="companion_is_another"
            ),
        ]

    def __str__(self) -> str:
        return f"companion (#{self.pk})"
