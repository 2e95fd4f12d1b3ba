"""Mounts and supports: made for the object, checked with the object present."""

from django.db import models
from django.db.models import Q

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment.materials import Material, MaterialTest
from lifecycle.records.models.words import Word
from lifecycle.records.signable import Signable, signable_constraints


class FitResult(ClosedList):
    FITS = "fits"
    FITS_AFTER_CHANGE = "fits_after_change"
    DOES_NOT_FIT = "does_not_fit"


FITTING = frozenset({FitResult.FITS, FitResult.FITS_AFTER_CHANGE})


class Mount(Kept):
    """The ticket of one mount; every face in the plan needs one that fits."""

    mount_no = models.CharField(max_length=16, unique=True)
    museum_object = models.ForeignKey(MuseumObject, on_delete=models.PROTECT, related_name="mounts")
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="mounts"
    )
    kind = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    with_whom = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="mounts"
    )
    needed_by = models.DateField(null=True, blank=True)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    edition = models.PositiveIntegerField("times saved", default=1)
    measured_at = models.DateTimeField("measured from the object at", null=True, blank=True)
    measured_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    angle_deg = models.PositiveSmallIntegerField("angle, °", null=True, blank=True)
    opening_left_mm = models.DecimalField(
        "opening left, mm", max_digits=7, decimal_places=1, null=True, blank=True
    )
    opening_right_mm = models.DecimalField(
        "opening right, mm", max_digits=7, decimal_places=1, null=True, blank=True
    )
    gutter_step_mm = models.DecimalField(
        "thickness step at gutter, mm", max_digits=6, decimal_places=1, null=True, blank=True
    )
    contact_points = models.TextField(blank=True)
    restraint = models.TextField(blank=True)
    removable_alone = models.BooleanField(
        "can be taken out without touching its neighbours", null=True, blank=True
    )
    fixing_instruction = models.TextField(blank=True)
    fixing_picture = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    goes_back = models.BooleanField("goes back with the object", default=False)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_why = models.TextField(blank=True)

    objects = KeptQuerySet["Mount"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(angle_deg__isnull=True) | Q(angle_deg__lte=180),
                name="mount_angle_possible",
            ),
            models.CheckConstraint(
                condition=Q(measured_at__isnull=True) | Q(measured_by__isnull=False),
                name="mount_measured_by_someone",
            ),
            models.CheckConstraint(
                condition=Q(retired_at__isnull=True) | ~Q(retired_why=""),
                name="mount_retired_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.mount_no


class FixingStep(Kept):
    """One step of fixing the object in its mount, with a picture where words are not enough."""

    mount = models.ForeignKey(Mount, on_delete=models.PROTECT, related_name="fixing_steps")
    number = models.PositiveSmallIntegerField()
    text = models.TextField()
    picture = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    dropped = models.BooleanField(default=False)

    objects = KeptQuerySet["FixingStep"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["mount", "number"],
                condition=Q(dropped=False),
                name="fixing_step_number_once",
            ),
            models.CheckConstraint(condition=~Q(text=""), name="fixing_step_says_something"),
            models.CheckConstraint(condition=Q(number__gte=1), name="fixing_steps_from_one"),
        ]

    def __str__(self) -> str:
        return f"step {self.number} of {self.mount_id} (#{self.pk})"


class MountFace(Kept):
    """A face the mount is made for."""

    mount = models.ForeignKey(Mount, on_delete=models.PROTECT, related_name="faces")
    face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="mount_faces")
    dropped = models.BooleanField(default=False)

    objects = KeptQuerySet["MountFace"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["mount", "face"], name="mount_face_once"),
        ]

    def __str__(self) -> str:
        return f"{self.face_id} on {self.mount_id} (#{self.pk})"


class MountMaterial(Kept):
    """A material of the mount, and how it came to be accepted."""

    mount = models.ForeignKey(Mount, on_delete=models.PROTECT, related_name="materials")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="in_mounts")
    acceptance = models.CharField(max_length=14, choices=choices(MaterialTest))
    accepted_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    dropped = models.BooleanField(default=False)

    objects = KeptQuerySet["MountMaterial"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("acceptance", MaterialTest, "mount_material_acceptance_known"),
            models.UniqueConstraint(fields=["mount", "material"], name="mount_material_once"),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} in {self.mount_id} (#{self.pk})"


class FitCheck(Signable, Kept):
    """One try of the object in its mount; mount maker and conservator both sign it."""

    mount = models.ForeignKey(Mount, on_delete=models.PROTECT, related_name="fit_checks")
    face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="fit_checks")
    checked_at = models.DateTimeField()
    object_present = models.BooleanField(default=False)
    result = models.CharField(max_length=18, choices=choices(FitResult))
    note = models.TextField(blank=True)
    photo = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    mount_maker = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    conservator = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = KeptQuerySet["FitCheck"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            *signable_constraints("fitcheck"),
            one_of("result", FitResult, "fit_result_known"),
            models.CheckConstraint(
                condition=~Q(mount_maker=models.F("conservator")), name="fit_needs_two_people"
            ),
            models.CheckConstraint(
                condition=Q(digest="") | Q(object_present=True, photo__isnull=False),
                name="fit_signed_with_object_present",
            ),
            models.CheckConstraint(
                condition=Q(result=FitResult.FITS) | ~Q(note=""), name="fit_not_plain_says_what"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=models.F("checked_at")),
                name="fit_entered_after_checked",
            ),
        ]

    def __str__(self) -> str:
        return f"fit check of {self.mount_id} (#{self.pk})"
