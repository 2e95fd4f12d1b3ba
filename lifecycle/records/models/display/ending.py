"""How a showing ends: taken down, withdrawn, or passed on to the next showing."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Coded,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)


class FoundAs(Word):
    AS_PLACED = "as_placed"
    SLIPPED = "slipped"


class MountFate(Word):
    LEFT_IN_CASE = "left_in_case"
    TAKEN_OUT = "taken_out"
    TRAVELS_WITH_OBJECT = "travels_with_object"
    NONE = "none"


class FacsimileOut(Word):
    OUT = "out"
    NONE = "none"


class SubstituteKind(Word):
    OBJECT = "object"
    FACSIMILE = "facsimile"
    NONE_WANTED = "none_wanted"


class TakeDown(Coded, Kept):
    """The facts at the case when an object comes off display; part A is a report of its own."""

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="take_downs"
    )
    period = models.OneToOneField(
        "records.DisplayPeriod",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="take_down",
    )
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField("taken down at")
    lamps_off_at = models.DateTimeField()
    reading_point = models.ForeignKey(
        "records.ReadingPoint", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    meter = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reading = models.ForeignKey(
        "records.LightReading", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    last_lux = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    no_lux_because = models.TextField(blank=True, default="")
    found = models.CharField(max_length=12, choices=choices(FoundAs))
    found_note = models.TextField(blank=True, default="")
    pests_seen = models.BooleanField(default=False)
    pest_note = models.TextField(blank=True, default="")
    trap_count = models.PositiveSmallIntegerField(null=True, blank=True)
    mount = models.CharField(max_length=24, choices=choices(MountFate))
    facsimile = models.CharField(max_length=8, choices=choices(FacsimileOut))
    companions_named = models.TextField(blank=True, default="")
    taken_down_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    second_person = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    handed_to = models.CharField(max_length=200)
    early = models.BooleanField(default=False)
    early_reason = models.TextField(blank=True, default="")
    curator_told_at = models.DateTimeField(null=True, blank=True)
    lender_told_at = models.DateTimeField(null=True, blank=True)
    emergency = models.BooleanField(default=False)
    part_a_due_at = models.DateTimeField(null=True, blank=True)
    part_a = models.ForeignKey(
        "records.ConditionReport",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["TakeDown"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("found", FoundAs, "take_down_found_known"),
            one_of("mount", MountFate, "take_down_mount_known"),
            one_of("facsimile", FacsimileOut, "take_down_facsimile_known"),
            models.CheckConstraint(
                condition=Q(last_lux__isnull=False) | ~Q(no_lux_because=""),
                name="take_down_lux_or_because",
            ),
            models.CheckConstraint(
                condition=Q(early=False) | ~Q(early_reason=""), name="take_down_early_because"
            ),
            models.CheckConstraint(
                condition=Q(emergency=False)
                | Q(part_a__isnull=False)
                | Q(part_a_due_at__isnull=False),
                name="take_down_part_a_awaited",
            ),
            models.CheckConstraint(
                condition=Q(second_person__isnull=True) | ~Q(taken_down_by=F("second_person")),
                name="take_down_two_people",
            ),
            models.UniqueConstraint(
                fields=["showing"],
                condition=Q(struck_at__isnull=True),
                name="take_down_once_per_showing",
            ),
        ]

    def __str__(self) -> str:
        return f"take-down #{self.pk}"


class Withdrawal(AppendOnly):
    """Taken off the list before display; who or what stands in; the object is back in its place."""

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="withdrawals"
    )
    reason = models.TextField()
    substitute_kind = models.CharField(max_length=12, choices=choices(SubstituteKind))
    substitute_object = models.ForeignKey(
        "records.MuseumObject",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    substitute_note = models.CharField(max_length=200, blank=True, default="")
    back_at = models.ForeignKey("records.Place", on_delete=models.PROTECT, related_name="+")
    back_confirmed_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="+"
    )
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24)
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["Withdrawal"].as_manager()

    class Meta:
        constraints = [
            one_of("substitute_kind", SubstituteKind, "withdrawal_substitute_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="withdrawal_because"),
            models.CheckConstraint(
                condition=Q(substitute_kind="object", substitute_object__isnull=False)
                | (Q(substitute_kind="facsimile") & ~Q(substitute_note=""))
                | Q(substitute_kind="none_wanted", substitute_object__isnull=True),
                name="withdrawal_substitute_named",
            ),
        ]

    def __str__(self) -> str:
        return f"withdrawal #{self.pk}"


class PassOn(AppendOnly):
    """One showing ends as the next begins, with one movement and part B as the next baseline."""

    from_showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="passed_on"
    )
    to_showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="passed_from"
    )
    movement = models.ForeignKey(
        "records.Movement", on_delete=models.PROTECT, related_name="pass_ons"
    )
    travel_housing = models.CharField(max_length=200)
    part_b = models.ForeignKey(
        "records.ConditionReport",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    serves_as_baseline = models.BooleanField(default=False)
    registrar = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    conservator = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["PassOn"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(from_showing=F("to_showing")), name="pass_on_to_another"
            ),
            models.CheckConstraint(
                condition=~Q(travel_housing=""), name="pass_on_travel_housing_named"
            ),
        ]

    def __str__(self) -> str:
        return f"pass on #{self.pk}"
