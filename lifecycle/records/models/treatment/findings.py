"""Findings made during treatment, what they change, and who is asked again on account of them."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.condition.words import Zone
from lifecycle.records.models.objects import Component, Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.rules import SensitivityClass
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment.steps import TreatmentStep


class TreatmentFinding(AppendOnly):
    """Something that came to light while a step was done, with its picture and its light.

    The feature has the object's next number at once; the next full report lists it.
    """

    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="treatment_findings"
    )
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="treatment_findings"
    )
    step = models.ForeignKey(TreatmentStep, on_delete=models.PROTECT, related_name="findings")
    feature = models.OneToOneField(
        Feature, on_delete=models.PROTECT, related_name="found_in_treatment"
    )
    zone = models.CharField(max_length=2, choices=Zone.choices, blank=True, default="")
    what = models.TextField("what was seen")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    component = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    class_before = models.ForeignKey(
        SensitivityClass, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    class_now = models.ForeignKey(
        SensitivityClass, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    new_face = models.ForeignKey(
        Face, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    plan_change = models.TextField("what has to be done otherwise", blank=True)
    observed_at = models.DateTimeField("found at")
    observed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["TreatmentFinding"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(what=""), name="treatment_finding_says_what"),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("observed_at")),
                name="treatment_finding_entered_after",
            ),
            models.CheckConstraint(
                condition=Q(zone__in=["", *Zone.values]), name="treatment_finding_zone_known"
            ),
        ]

    def __str__(self) -> str:
        return f"finding at step {self.step_id} (#{self.pk})"


class AskedAgain(AppendOnly):
    """One consent, picture, facsimile, mount or account that a finding put in doubt.

    It is settled by what is made anew after it, or by the word that it still fits.
    """

    finding = models.ForeignKey(TreatmentFinding, on_delete=models.PROTECT, related_name="asked")
    kind = models.CharField(max_length=10, choices=choices(AskedKind))
    subject_uid = models.UUIDField("record in doubt")
    subject_no = models.CharField("its number", max_length=80)
    role = models.CharField(max_length=24, choices=choices(Role))
    person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    because = models.TextField()
    asked_at = models.DateTimeField()

    objects = AppendOnlyQuerySet["AskedAgain"].as_manager()

    class Meta:
        constraints = [
            one_of("kind", AskedKind, "asked_again_kind_known"),
            one_of("role", Role, "asked_again_role_known"),
            models.CheckConstraint(condition=~Q(because=""), name="asked_again_says_why"),
            models.UniqueConstraint(
                fields=["finding", "kind", "subject_uid", "role", "person"],
                name="asked_again_once",
            ),
            models.UniqueConstraint(
                fields=["finding", "kind", "subject_uid", "role"],
                condition=Q(person__isnull=True),
                name="asked_again_once_a_role",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject_no} (#{self.pk})"


class StillFits(ClosedList):
    STILL_FITS = "still_fits"
    MADE_ANEW = "made_anew"

    @property
    def label(self) -> str:
        return {
            "still_fits": "it still fits",
            "made_anew": "it does not fit any more and is made anew",
        }[self.value]


class AskedAgainAnswer(AppendOnly):
    """The word of whoever answers for it; 'made anew' waits until the new one is there."""

    asked = models.ForeignKey(AskedAgain, on_delete=models.PROTECT, related_name="answers")
    answer = models.CharField(max_length=12, choices=choices(StillFits))
    why = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["AskedAgainAnswer"].as_manager()

    class Meta:
        constraints = [
            one_of("answer", StillFits, "asked_again_answer_known"),
            one_of("role", Role, "asked_again_answer_role_known"),
            models.CheckConstraint(condition=~Q(why=""), name="asked_again_answer_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.answer} to {self.asked_id} (#{self.pk})"
