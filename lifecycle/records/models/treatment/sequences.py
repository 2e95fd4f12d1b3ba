"""Sequences of steps that a laboratory does again and again: written once, logged in one go."""

from django.db import models
from django.db.models import Q

from lifecycle.records.base import Kept, KeptQuerySet, kept_history
from lifecycle.records.models.words import Word


class StepSequence(Kept):
    """A named row of steps with their usual figures; it consents to nothing."""

    name = models.CharField(max_length=120, unique=True)
    used_for = models.TextField("what it is for", blank=True)
    edition = models.PositiveIntegerField("times saved", default=1)
    retired_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["StepSequence"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="step_sequence_named"),
        ]

    def __str__(self) -> str:
        return self.name


class StepSequenceLine(Kept):
    """One step with what is usual for it; the batch is chosen when it is done."""

    sequence = models.ForeignKey(StepSequence, on_delete=models.PROTECT, related_name="lines")
    order = models.PositiveSmallIntegerField()
    step = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    material_name = models.CharField("material", max_length=120, blank=True)
    grade = models.CharField(max_length=120, blank=True)
    concentration = models.DecimalField(
        "strength, %", max_digits=5, decimal_places=2, null=True, blank=True
    )
    amount = models.CharField(max_length=80, blank=True)
    minutes = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    temperature_c = models.DecimalField(
        "temperature, °C", max_digits=5, decimal_places=1, null=True, blank=True
    )
    result = models.TextField("usual result", blank=True)
    hours = models.DecimalField(max_digits=5, decimal_places=2)
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["StepSequenceLine"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(concentration__isnull=True)
                | Q(concentration__gt=0, concentration__lte=100),
                name="sequence_strength_is_percent",
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__gte=0),
                name="sequence_minutes_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(hours__gt=0, hours__lte=24), name="sequence_hours_of_one_day"
            ),
        ]

    def __str__(self) -> str:
        return f"line {self.order} of {self.sequence_id} (#{self.pk})"
