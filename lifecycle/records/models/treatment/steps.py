"""The step log: what was done to the object, by whom, with what, under whose consent."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import DeputyTerm, Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment.consents import (
    PARTIES,
    Decision,
    HowGiven,
    StandingConsent,
    community_told,
    consenting,
)
from lifecycle.records.models.treatment.materials import Material
from lifecycle.records.models.treatment.proposals import Proposal, ProposalVersion
from lifecycle.records.models.words import Word
from lifecycle.records.resting import STEP, Rests


class TreatmentStep(AppendOnly):
    """One thing done at the bench; it names the consent that covers it, or is an emergency."""

    rests_on: ClassVar[tuple[Rests, ...]] = STEP

    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="treatment_steps"
    )
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="treatment_steps"
    )
    proposal = models.ForeignKey(
        Proposal, null=True, blank=True, on_delete=models.PROTECT, related_name="steps"
    )
    version = models.ForeignKey(
        ProposalVersion, null=True, blank=True, on_delete=models.PROTECT, related_name="done_steps"
    )
    standing = models.ForeignKey(
        StandingConsent, null=True, blank=True, on_delete=models.PROTECT, related_name="done_steps"
    )
    observed_at = models.DateTimeField("done at")
    observed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    step = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    material = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="done_steps"
    )
    concentration = models.DecimalField(
        "strength, %", max_digits=5, decimal_places=2, null=True, blank=True
    )
    amount = models.CharField(max_length=80, blank=True)
    minutes = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    temperature_c = models.DecimalField(
        "temperature, °C", max_digits=5, decimal_places=1, null=True, blank=True
    )
    face = models.ForeignKey(
        Face, null=True, blank=True, on_delete=models.PROTECT, related_name="treatment_steps"
    )
    area = models.CharField(max_length=160, blank=True)
    feature = models.ForeignKey(
        Feature, null=True, blank=True, on_delete=models.PROTECT, related_name="treatment_steps"
    )
    result = models.TextField()
    deviation = models.BooleanField(default=False)
    deviation_why = models.TextField(blank=True)
    hours = models.DecimalField(max_digits=5, decimal_places=2)
    removed = models.TextField("what was removed", blank=True)
    removed_where = models.TextField("where it is kept", blank=True)
    emergency = models.BooleanField(default=False)
    emergency_reason = models.TextField(blank=True)
    caution_reason = models.TextField("why I went on in spite of the caution", blank=True)
    corrects = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )

    objects = AppendOnlyQuerySet["TreatmentStep"].as_manager()

    class Meta:
        constraints = [
            # No step without a consented version or a standing consent, but for emergencies.
            models.CheckConstraint(
                condition=Q(emergency=True, version__isnull=True, standing__isnull=True)
                | Q(emergency=False, version__isnull=False, standing__isnull=True)
                | Q(emergency=False, version__isnull=True, standing__isnull=False),
                name="step_covered_by_exactly_one",
            ),
            models.CheckConstraint(
                condition=Q(version__isnull=True) | Q(proposal__isnull=False),
                name="step_version_has_proposal",
            ),
            models.CheckConstraint(
                condition=Q(emergency=False) | ~Q(emergency_reason=""),
                name="step_emergency_says_why",
            ),
            models.CheckConstraint(
                condition=Q(deviation=False) | ~Q(deviation_why=""), name="step_deviation_says_why"
            ),
            models.CheckConstraint(
                condition=Q(deviation=False) | Q(version__isnull=False),
                name="step_deviation_from_a_version",
            ),
            models.CheckConstraint(condition=~Q(result=""), name="step_has_result"),
            models.CheckConstraint(
                condition=Q(hours__gt=0, hours__lte=24), name="step_hours_of_one_day"
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__gte=0),
                name="step_minutes_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(concentration__isnull=True)
                | Q(concentration__gt=0, concentration__lte=100),
                name="step_strength_is_percent",
            ),
            models.CheckConstraint(
                condition=Q(temperature_c__isnull=True)
                | Q(temperature_c__gte=-80, temperature_c__lte=200),
                name="step_temperature_possible",
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("observed_at")), name="step_entered_after_done"
            ),
            models.UniqueConstraint(fields=["corrects"], name="step_corrected_once"),
            models.CheckConstraint(
                condition=Q(removed="") | ~Q(removed_where=""), name="step_removed_kept_somewhere"
            ),
        ]
        indexes = [
            models.Index(fields=["material"], name="step_by_material"),
            models.Index(fields=["museum_object", "observed_at"], name="step_by_object"),
        ]

    def __str__(self) -> str:
        return f"{self.step_id} on {self.museum_object_id} (#{self.pk})"


class StepPicture(AppendOnly):
    """A picture taken while the step was done."""

    step = models.ForeignKey(TreatmentStep, on_delete=models.PROTECT, related_name="pictures")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["StepPicture"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["step", "picture"], name="step_picture_once"),
        ]

    def __str__(self) -> str:
        return f"picture {self.picture_id} of step {self.step_id} (#{self.pk})"


class DeviationConsent(AppendOnly):
    """A decision on one deviation; the proposal's clock stands still until all agree."""

    step = models.ForeignKey(TreatmentStep, on_delete=models.PROTECT, related_name="decisions")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=PARTIES)
    community = models.CharField("source community", max_length=200, blank=True)
    speaker = models.CharField("who spoke for the community", max_length=200, blank=True)
    how = models.CharField(
        "how the answer was given", max_length=8, choices=choices(HowGiven), blank=True
    )
    decision = models.CharField(max_length=20, choices=choices(Decision))
    limits = models.TextField(blank=True)
    for_person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    deputy_term = models.ForeignKey(
        DeputyTerm, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signature = models.OneToOneField(Signature, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField()
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["DeviationConsent"].as_manager()

    class Meta:
        constraints = [
            one_of("decision", Decision, "deviation_decision_known"),
            consenting("deviation_role_may_consent"),
            community_told("deviation_community_told"),
            models.CheckConstraint(
                condition=Q(decision=Decision.AGREE) | ~Q(limits=""),
                name="deviation_limits_stated",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.decision} to step {self.step_id} (#{self.pk})"

    @property
    def spoken_by(self) -> str:
        """Whose word it is: who spoke for a community, else the person who decided."""
        return self.speaker or self.person.full_name
