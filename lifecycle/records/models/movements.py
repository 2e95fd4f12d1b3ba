"""Movements: who carried what from where to where, released and received by name.

Where an object is follows from these rows and from nothing else.
"""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of


class StateOnArrival(Word):
    SAME = "same"
    CHANGED = "changed"
    CANNOT_TELL = "cannot_tell"


class ArrivalProof(Word):
    SCAN = "scan"
    SIGNATURE = "signature"
    PAPER_READ_BACK = "paper_read_back"


class Movement(Coded, Kept):
    """One carrying of one or more objects between two places."""

    movement_no = models.CharField(max_length=20, unique=True)
    from_place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="movements_out"
    )
    to_place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="movements_in"
    )
    reason = models.ForeignKey("records.Word", on_delete=models.PROTECT, related_name="+")
    planned_for = models.DateTimeField(null=True, blank=True)
    expected_back_on = models.DateField(null=True, blank=True)
    carried_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    method = models.ForeignKey(
        "records.Word", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    people_needed = models.PositiveSmallIntegerField(default=1)
    route_remarks = models.TextField(blank=True, default="")
    authorised_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    authorised_at = models.DateTimeField(null=True, blank=True)
    authorised_role = models.CharField(max_length=24, blank=True, default="")
    left_at = models.DateTimeField(null=True, blank=True)
    handed_over_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    handed_over_signature = models.ForeignKey(
        "records.Signature", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    arrived_at = models.DateTimeField(null=True, blank=True)
    received_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    received_signature = models.ForeignKey(
        "records.Signature", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    state_on_arrival = models.CharField(
        max_length=12, choices=choices(StateOnArrival), blank=True, default=""
    )
    arrival_note = models.TextField(blank=True, default="")
    arrival_confirmed_how = models.CharField(
        max_length=16, choices=choices(ArrivalProof), blank=True, default=""
    )
    arrival_confirmed_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    arrival_confirmed_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cancel_reason = models.TextField(blank=True, default="")

    objects = KeptQuerySet["Movement"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("state_on_arrival", StateOnArrival, "movement_arrival_state", blank=True),
            one_of("arrival_confirmed_how", ArrivalProof, "movement_proof_known", blank=True),
            models.CheckConstraint(
                condition=~Q(from_place=F("to_place")), name="movement_goes_somewhere"
            ),
            models.CheckConstraint(
                condition=Q(people_needed__gte=1), name="movement_needs_someone"
            ),
            models.CheckConstraint(
                condition=Q(left_at__isnull=True)
                | Q(
                    authorised_by__isnull=False,
                    authorised_at__isnull=False,
                    handed_over_by__isnull=False,
                    cancelled_at__isnull=True,
                ),
                name="movement_released_with_authority",
            ),
            models.CheckConstraint(
                condition=Q(arrived_at__isnull=True)
                | Q(
                    left_at__isnull=False,
                    arrived_at__gte=F("left_at"),
                    received_by__isnull=False,
                ),
                name="movement_received_after_release",
            ),
            models.CheckConstraint(
                condition=Q(arrival_confirmed_at__isnull=True, arrival_confirmed_how="")
                | (
                    Q(
                        arrival_confirmed_at__isnull=False,
                        arrival_confirmed_by__isnull=False,
                        arrived_at__isnull=False,
                    )
                    & ~Q(arrival_confirmed_how="")
                ),
                name="movement_arrival_proved",
            ),
            models.CheckConstraint(
                condition=Q(cancelled_at__isnull=True) | ~Q(cancel_reason=""),
                name="movement_cancelled_because",
            ),
        ]

    def __str__(self) -> str:
        return self.movement_no


class MovementLine(Kept):
    """One object on a movement, with the showing it travels for, if any."""

    movement = models.ForeignKey(Movement, on_delete=models.PROTECT, related_name="lines")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="movement_lines"
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="movement_lines",
    )
    open = models.BooleanField("not yet received or cancelled", default=True)

    objects = KeptQuerySet["MovementLine"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["movement", "museum_object"], name="movement_object_once"
            ),
            models.UniqueConstraint(
                fields=["museum_object"],
                condition=Q(open=True),
                name="movement_one_open_per_object",
            ),
        ]

    def __str__(self) -> str:
        return f"movement line #{self.pk}"


class RemovalCard(Kept):
    """The card that lies in the empty place until the object is back and somebody lifts it."""

    card_no = models.CharField(max_length=24, unique=True)
    movement = models.ForeignKey(Movement, on_delete=models.PROTECT, related_name="cards")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="removal_cards"
    )
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="removal_cards"
    )
    left_at = models.DateTimeField()
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lifted_with = models.ForeignKey(
        Movement, on_delete=models.PROTECT, null=True, blank=True, related_name="lifted_cards"
    )
    lost_note = models.TextField(blank=True, default="")

    objects = KeptQuerySet["RemovalCard"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | Q(lifted_at__gte=F("left_at"), lifted_by__isnull=False),
                name="removal_card_lifted_by_name",
            ),
            models.UniqueConstraint(
                fields=["museum_object", "place"],
                condition=Q(lifted_at__isnull=True),
                name="removal_card_one_per_gap",
            ),
        ]

    def __str__(self) -> str:
        return self.card_no
