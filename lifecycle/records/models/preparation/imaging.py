"""Imaging jobs: which face, for what, in which light, delivered and accepted."""

from django.db import models
from django.db.models import Q

from lifecycle.process.words import LightKind
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing


class ImagingPurpose(ClosedList):
    RECORD_BEFORE = "record_before"
    RECORD_DURING = "record_during"
    RECORD_AFTER = "record_after"
    DAMAGE_DETAIL = "damage_detail"
    PUBLICATION = "publication"
    FACSIMILE_MASTER = "facsimile_master"
    COURIER_COPY = "courier_copy"

    @property
    def label(self) -> str:
        return {
            "record_before": "record before treatment",
            "record_during": "record during treatment",
            "record_after": "record after treatment",
            "damage_detail": "damage detail",
            "publication": "publication",
            "facsimile_master": "facsimile master",
            "courier_copy": "copy for courier",
        }[self.value]


class ObjectPosition(ClosedList):
    """How the object lies in front of the camera."""

    FLAT = "flat"
    CRADLE = "cradle"
    VERTICAL = "vertical"
    AS_MOUNTED = "as_mounted"


class Target(ClosedList):
    """What is laid into the frame beside the object."""

    OBJECT_NUMBER = "object_number"
    SCALE = "scale"
    COLOUR = "colour"
    GREY = "grey"


class ImagingJob(Kept):
    """One face to be pictured for one purpose; done when the one who needs it accepts."""

    job_no = models.CharField(max_length=16, unique=True)
    face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="imaging_jobs")
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="imaging_jobs"
    )
    purpose = models.CharField(max_length=18, choices=choices(ImagingPurpose))
    resolution_ppi = models.PositiveIntegerField("resolution, ppi")
    size_mm = models.CharField("size at 100 %, mm", max_length=40, blank=True)
    target_number = models.BooleanField("object number in frame", default=True)
    target_scale = models.BooleanField("scale in frame", default=True)
    target_colour = models.BooleanField("colour target in frame", default=True)
    target_grey = models.BooleanField("grey target in frame", default=True)
    light = models.CharField(max_length=16, choices=choices(LightKind), default=LightKind.DIFFUSE)
    light_direction = models.CharField(max_length=60, blank=True)
    uv_filtered = models.BooleanField("UV filtered", default=True)
    limit_minutes = models.DecimalField(
        "lit at most, minutes", max_digits=6, decimal_places=1, null=True, blank=True
    )
    limit_lux = models.PositiveIntegerField("lit at most, lx", null=True, blank=True)
    lit_minutes = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    lit_lux = models.PositiveIntegerField("light at the object, lx", null=True, blank=True)
    flashes = models.PositiveIntegerField(null=True, blank=True)
    flash_lux_s = models.DecimalField(
        "light of one flash at the object, lx·s",
        max_digits=8,
        decimal_places=1,
        null=True,
        blank=True,
    )
    not_in_frame = models.CharField(
        "asked for and not in the frame", max_length=60, blank=True, default=""
    )
    not_in_frame_why = models.TextField(blank=True, default="")
    lux_hours = models.DecimalField(
        "light given in all deliveries, lx·h",
        max_digits=10,
        decimal_places=1,
        null=True,
        blank=True,
    )
    handler = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    position = models.CharField(
        max_length=12, choices=choices(ObjectPosition), default=ObjectPosition.FLAT
    )
    with_whom = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="imaging_jobs"
    )
    due_on = models.DateField()
    needed_because = models.TextField()
    for_whom = models.ForeignKey(
        Person,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="Who needs the pictures and accepts them; empty: who asked for them.",
    )
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    delivered_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    delivered_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    accepted_at = models.DateTimeField(null=True, blank=True)
    sent_back_why = models.TextField(blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    dropped_why = models.TextField(blank=True)

    objects = KeptQuerySet["ImagingJob"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("purpose", ImagingPurpose, "imaging_purpose_known"),
            one_of("position", ObjectPosition, "imaging_position_known"),
            one_of("light", LightKind, "imaging_light_known"),
            models.CheckConstraint(
                condition=Q(resolution_ppi__gte=1, resolution_ppi__lte=10000),
                name="imaging_resolution_possible",
            ),
            models.CheckConstraint(
                condition=Q(lit_minutes__isnull=True) | Q(lit_minutes__gte=0),
                name="imaging_minutes_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(limit_minutes__isnull=True) | Q(limit_minutes__gt=0),
                name="imaging_limit_is_some_light",
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True)
                | Q(delivered_at__isnull=False, accepted_by__isnull=False),
                name="imaging_accepted_after_delivery",
            ),
            models.CheckConstraint(
                condition=Q(delivered_at__isnull=True)
                | Q(
                    delivered_by__isnull=False,
                    lit_minutes__isnull=False,
                    lit_lux__isnull=False,
                    lux_hours__isnull=False,
                ),
                name="imaging_delivered_tells_light",
            ),
            models.CheckConstraint(
                condition=Q(flashes__isnull=True, flash_lux_s__isnull=True)
                | Q(flashes__gt=0, flash_lux_s__gt=0),
                name="imaging_flashes_with_their_light",
            ),
            models.CheckConstraint(
                condition=Q(not_in_frame="") | ~Q(not_in_frame_why=""),
                name="imaging_missing_target_says_why",
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_why=""),
                name="imaging_dropped_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.job_no

    @property
    def targets(self) -> frozenset[Target]:
        """What was asked to lie in the frame."""
        asked = {
            Target.OBJECT_NUMBER: self.target_number,
            Target.SCALE: self.target_scale,
            Target.COLOUR: self.target_colour,
            Target.GREY: self.target_grey,
        }
        return frozenset(target for target, wanted in asked.items() if wanted)

    @property
    def needed_by(self) -> Person:
        """Who needs the pictures, and so accepts them."""
        return self.for_whom or self.asked_by


class ImagingFile(AppendOnly):
    """A delivered file; the picture row holds its checksum."""

    job = models.ForeignKey(ImagingJob, on_delete=models.PROTECT, related_name="files")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    bit_depth = models.PositiveSmallIntegerField(null=True, blank=True)
    colour_profile = models.CharField(max_length=60, blank=True)
    said_sha256 = models.CharField(
        "checksum given with it (SHA-256)",
        max_length=64,
        blank=True,
        help_text="Compared with the file as it came; one that differs is not kept.",
    )
    delivered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    delivered_at = models.DateTimeField()

    objects = AppendOnlyQuerySet["ImagingFile"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "picture"], name="imaging_file_once"),
        ]

    def __str__(self) -> str:
        return f"file of {self.job_id} (#{self.pk})"
