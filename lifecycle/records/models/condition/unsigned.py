"""A signature that a report waits for: who went away before giving it, when and why."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of
from lifecycle.records.models.condition.reports import ConditionReport


class LeftUnsigned(AppendOnly):
    """Somebody left before signing: 'courier left 16:05, because train'. Written once.

    Whether it still waits is read from the signatures, so nothing has to be taken back.
    """

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="left_unsigned"
    )
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    capacity = models.CharField(max_length=16, choices=choices(SignCapacity))
    left_at = models.DateTimeField()
    because = models.CharField(max_length=240)
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    entered_at = models.DateTimeField()

    objects = AppendOnlyQuerySet["LeftUnsigned"].as_manager()

    class Meta:
        constraints = [
            one_of("capacity", SignCapacity, "left_unsigned_capacity_known"),
            one_of("role", Role, "left_unsigned_role_known"),
            models.CheckConstraint(condition=~Q(because=""), name="left_unsigned_because"),
            models.CheckConstraint(
                condition=Q(left_at__lte=F("entered_at")), name="left_unsigned_not_to_come"
            ),
            models.UniqueConstraint(
                fields=["report", "person", "capacity"], name="left_unsigned_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.capacity} left unsigned (#{self.pk})"
