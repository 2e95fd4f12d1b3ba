"""Drawn plans of galleries and cases, and where the fixed reading points lie on them."""

from typing import Any

from django.db import models
from django.db.models import Q

from lifecycle.process.stages import Role
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
)
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.places import Place, ReadingPoint


class PlacePlan(AppendOnly):
    """One drawing of a place seen from above; a newer one has the next number and counts."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="plans")
    number = models.PositiveSmallIntegerField()
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    drawn_by = models.CharField(max_length=120)
    drawn_on = models.DateField()
    kept_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    kept_at = models.DateTimeField()

    objects = AppendOnlyQuerySet["PlacePlan"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["place", "number"], name="place_plan_number_once"),
            models.CheckConstraint(condition=~Q(drawn_by=""), name="place_plan_names_who_drew"),
        ]

    def __str__(self) -> str:
        return f"plan {self.number} of {self.place.name}"


def _percent(label: str) -> "models.DecimalField[Any, Any]":
    return models.DecimalField(label, max_digits=5, decimal_places=2, null=True, blank=True)


class PlanSpot(Kept):
    """Where a reading point lies on a plan; without both figures it was taken off again."""

    plan = models.ForeignKey(PlacePlan, on_delete=models.PROTECT, related_name="spots")
    point = models.ForeignKey(ReadingPoint, on_delete=models.PROTECT, related_name="spots")
    across = _percent("from the left edge of the plan")
    down = _percent("from the top edge of the plan")

    objects = KeptQuerySet["PlanSpot"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["plan", "point"], name="plan_spot_once_a_point"),
            models.CheckConstraint(
                condition=Q(across__isnull=True, down__isnull=True)
                | Q(
                    across__isnull=False,
                    down__isnull=False,
                    across__gte=0,
                    across__lte=100,
                    down__gte=0,
                    down__lte=100,
                ),
                name="plan_spot_on_the_plan",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.point} on {self.plan}"
