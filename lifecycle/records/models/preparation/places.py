"""The case before the object comes: built, cured, cleaned, lit; and the way there."""

from django.db import models
from django.db.models import F, Q

from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    kept_history,
)
from lifecycle.records.models.exhibitions import Exhibition
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.places import Place, ReadingPoint
from lifecycle.records.models.showings import Showing


class CaseReadiness(Kept):
    """One case made ready for one exhibition."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="made_ready")
    exhibition = models.ForeignKey(
        Exhibition, on_delete=models.PROTECT, related_name="cases_made_ready"
    )
    edition = models.PositiveIntegerField("times saved", default=1)
    construction_done_on = models.DateField(null=True, blank=True)
    construction_done_by = models.CharField(max_length=120, blank=True)
    cleaned_on = models.DateField(null=True, blank=True)
    cleaned_by = models.CharField(max_length=120, blank=True)
    materials_note = models.TextField("sealants, paints, boards", blank=True)
    cure_until = models.DateField(null=True, blank=True)
    cure_because = models.CharField("why less than three weeks will do", max_length=200, blank=True)
    buffer_kind = models.CharField(max_length=120, blank=True)
    buffer_mass_kg = models.DecimalField(
        "buffer, kg", max_digits=6, decimal_places=2, null=True, blank=True
    )
    buffer_target_rh = models.DecimalField(
        "target RH, %", max_digits=4, decimal_places=1, null=True, blank=True
    )
    buffer_conditioned_on = models.DateField(null=True, blank=True)
    buffer_renew_by = models.DateField(null=True, blank=True)
    test_logger = models.CharField("logger of the test run", max_length=60, blank=True)
    test_from = models.DateTimeField(null=True, blank=True)
    test_to = models.DateTimeField(null=True, blank=True)
    test_result = models.TextField(blank=True)
    test_outside = models.BooleanField(
        "the air left its band during the run", null=True, blank=True
    )
    lamps = models.TextField("what the rows of its lamps do not say", blank=True)
    without_lamps = models.BooleanField("lit by daylight alone", default=False)
    captions_clear = models.BooleanField("captions stand clear of objects", default=False)
    locks = models.TextField("locks, keys, alarm (restricted)", blank=True)
    layout = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ready_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ready_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["CaseReadiness"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["place", "exhibition"], name="case_ready_once"),
            models.CheckConstraint(
                condition=Q(buffer_target_rh__isnull=True)
                | Q(buffer_target_rh__gt=0, buffer_target_rh__lt=100),
                name="case_buffer_rh_possible",
            ),
            models.CheckConstraint(
                condition=Q(buffer_mass_kg__isnull=True) | Q(buffer_mass_kg__gt=0),
                name="case_buffer_mass_positive",
            ),
            models.CheckConstraint(
                condition=Q(test_from__isnull=True)
                | Q(test_to__isnull=True)
                | Q(test_to__gte=F("test_from")),
                name="case_test_ordered",
            ),
            models.CheckConstraint(
                condition=Q(ready_at__isnull=True)
                | (
                    Q(ready_by__isnull=False)
                    & Q(construction_done_on__isnull=False)
                    & Q(cleaned_on__isnull=False)
                ),
                name="case_ready_when_built_and_clean",
            ),
            models.CheckConstraint(
                condition=Q(construction_done_on__isnull=True)
                | Q(cleaned_on__isnull=True)
                | Q(cleaned_on__gte=F("construction_done_on")),
                name="case_cleaned_after_building",
            ),
        ]

    def __str__(self) -> str:
        return f"case {self.place_id} for {self.exhibition_id} (#{self.pk})"


class LightProof(AppendOnly):
    """Light and UV measured with a dummy before the object enters; kept with the ceiling it met."""

    exhibition = models.ForeignKey(
        Exhibition, on_delete=models.PROTECT, related_name="light_proofs"
    )
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="light_proofs")
    point = models.ForeignKey(
        ReadingPoint, null=True, blank=True, on_delete=models.PROTECT, related_name="light_proofs"
    )
    lux = models.DecimalField("light, lx", max_digits=7, decimal_places=1)
    uv = models.DecimalField("UV, µW/lm", max_digits=6, decimal_places=1, null=True, blank=True)
    instrument = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, related_name="light_proofs"
    )
    with_dummy = models.BooleanField()
    lamp_state = models.CharField("lamps as they were", max_length=160)
    ceiling_lux = models.PositiveIntegerField(null=True, blank=True)
    ceiling_uv = models.PositiveIntegerField(null=True, blank=True)
    ceiling_because = models.TextField(blank=True)
    observed_at = models.DateTimeField("measured at")
    observed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["LightProof"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(lux__gte=0), name="light_proof_lux_not_negative"),
            models.CheckConstraint(
                condition=Q(uv__isnull=True) | Q(uv__gte=0), name="light_proof_uv_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("observed_at")),
                name="light_proof_entered_after",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lux} lx at {self.place_id} (#{self.pk})"


class RouteCheck(AppendOnly):
    """The way to the case walked through before the object is carried."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="route_checks")
    from_place = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    to_place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    people = models.PositiveSmallIntegerField("people needed")
    equipment = models.TextField()
    doors_lifts = models.TextField("doors, lifts, steps")
    hazards_read = models.BooleanField("hazards of the object read")
    observed_at = models.DateTimeField("walked at")
    observed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["RouteCheck"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(people__gte=1, people__lte=20), name="route_people_possible"
            ),
            models.CheckConstraint(condition=Q(hazards_read=True), name="route_hazards_are_read"),
            models.CheckConstraint(
                condition=~Q(equipment="") & ~Q(doors_lifts=""), name="route_says_how"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("observed_at")), name="route_entered_after"
            ),
        ]

    def __str__(self) -> str:
        return f"route to {self.to_place_id} (#{self.pk})"
