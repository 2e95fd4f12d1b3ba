"""Planned days (install, turn, swap, de-install) and the record of a turn that was made."""

from typing import Final

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
from lifecycle.records.signable import Signable, signable_constraints


class AppointmentKind(Word):
    INSTALL = "install"
    TURN = "turn"
    SWAP = "swap"
    DEINSTALL = "deinstall"

    @property
    def label(self) -> str:
        return "de-install" if self is AppointmentKind.DEINSTALL else super().label


class AppointmentState(Word):
    PLANNED = "planned"
    DONE = "done"
    MOVED = "moved"
    CANCELLED = "cancelled"


#: What still lies ahead, whether on its first day or on another.
STILL_TO_COME: Final = (AppointmentState.PLANNED.value, AppointmentState.MOVED.value)


class SupportDone(Word):
    SAME = "same"
    ADJUSTED = "adjusted"
    CHANGED = "changed"


class SwapDone(Word):
    """Whether the facsimile or the caption was changed over."""

    DONE = "done"
    NOT_NEEDED = "not_needed"


class Appointment(Coded, Kept):
    """A day, a place and two named people for one install, turn, swap or de-install.

    ``moved`` means: still to come, on a later or earlier day than first planned.
    """

    appointment_no = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=12, choices=choices(AppointmentKind))
    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="appointments"
    )
    other_showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="appointments_as_other",
    )
    from_face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    to_face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    day = models.DateField()
    slot = models.TimeField(null=True, blank=True)
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="appointments"
    )
    person_1 = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="appointments_first"
    )
    person_2 = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="appointments_second"
    )
    reason = models.TextField(blank=True, default="")
    state = models.CharField(
        max_length=12,
        choices=choices(AppointmentState),
        default=AppointmentState.PLANNED.value,
    )
    done_at = models.DateTimeField(null=True, blank=True)
    cancel_reason = models.TextField(blank=True, default="")

    objects = KeptQuerySet["Appointment"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("kind", AppointmentKind, "appointment_kind_known"),
            one_of("state", AppointmentState, "appointment_state_known"),
            models.CheckConstraint(
                condition=~Q(person_1=F("person_2")), name="appointment_two_people"
            ),
            models.CheckConstraint(
                condition=Q(state="done", done_at__isnull=False)
                | (~Q(state="done") & Q(done_at__isnull=True)),
                name="appointment_done_dated",
            ),
            models.CheckConstraint(
                condition=~Q(state="cancelled") | ~Q(cancel_reason=""),
                name="appointment_cancelled_because",
            ),
            models.CheckConstraint(
                condition=(
                    Q(kind="turn", from_face__isnull=False, to_face__isnull=False)
                    & ~Q(from_face=F("to_face"))
                    & Q(other_showing__isnull=True)
                )
                | (
                    Q(kind="swap", other_showing__isnull=False, to_face__isnull=False)
                    & ~Q(showing=F("other_showing"))
                )
                | Q(kind__in=["install", "deinstall"], other_showing__isnull=True),
                name="appointment_faces_fit_kind",
            ),
            models.UniqueConstraint(
                fields=["showing", "kind", "day"],
                condition=Q(state__in=["planned", "moved"]),
                name="appointment_one_a_day",
            ),
        ]

    def __str__(self) -> str:
        return self.appointment_no


class AppointmentChange(AppendOnly):
    """A day or a person was changed: from what, to what, why, and who agreed."""

    appointment = models.ForeignKey(Appointment, on_delete=models.PROTECT, related_name="changes")
    old_day = models.DateField()
    new_day = models.DateField()
    old_people = models.CharField(max_length=420, blank=True, default="")
    new_people = models.CharField(max_length=420, blank=True, default="")
    reason = models.TextField()
    agreed_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["AppointmentChange"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="appointment_change_because")
        ]

    def __str__(self) -> str:
        return f"{self.old_day:%Y-%m-%d} to {self.new_day:%Y-%m-%d}"


class TurnRecord(Coded, Signable, Kept):
    """One turn or swap as it was made: taken out, compared, put back, photographed, read.

    ``started_at`` is when the off-going face left its place, ``done_at`` when the on-coming face
    was on show; between them the showing stands at the stage 'rotation'.
    """

    turn_no = models.CharField(max_length=20, unique=True)
    appointment = models.OneToOneField(
        Appointment, on_delete=models.PROTECT, null=True, blank=True, related_name="turn"
    )
    showing = models.ForeignKey("records.Showing", on_delete=models.PROTECT, related_name="turns")
    other_showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="turns_as_other",
    )
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, related_name="+")
    to_place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    from_face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="+")
    to_face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reason = models.TextField(blank=True, default="")
    off_report = models.ForeignKey(
        "records.ConditionReport",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    on_report = models.ForeignKey(
        "records.ConditionReport",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    photo_before = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    photo_after = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    support = models.CharField(max_length=12, choices=choices(SupportDone), blank=True, default="")
    support_fits = models.BooleanField(default=False)
    way_up_right = models.BooleanField(default=False)
    facsimile = models.CharField(max_length=12, choices=choices(SwapDone), blank=True, default="")
    caption = models.CharField(max_length=12, choices=choices(SwapDone), blank=True, default="")
    reading_point = models.ForeignKey(
        "records.ReadingPoint", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    meter = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reading = models.ForeignKey(
        "records.LightReading", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lux_after = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    uv_after = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    companions_named = models.TextField(blank=True, default="")
    courier = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    person_1 = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    person_2 = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)
    ended_without = models.TextField("why no face went back", blank=True, default="")
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["TurnRecord"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            *signable_constraints("turnrecord"),
            one_of("support", SupportDone, "turn_support_known", blank=True),
            one_of("facsimile", SwapDone, "turn_facsimile_known", blank=True),
            one_of("caption", SwapDone, "turn_caption_known", blank=True),
            models.CheckConstraint(condition=~Q(person_1=F("person_2")), name="turn_two_people"),
            models.CheckConstraint(
                condition=Q(appointment__isnull=False) | ~Q(reason=""),
                name="turn_planned_or_because",
            ),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True)
                | (
                    Q(
                        done_at__gte=F("started_at"),
                        to_face__isnull=False,
                        photo_after__isnull=False,
                        support_fits=True,
                        way_up_right=True,
                        lux_after__isnull=False,
                        uv_after__isnull=False,
                    )
                    & ~Q(support="")
                    & ~Q(facsimile="")
                    & ~Q(caption="")
                ),
                name="turn_done_complete",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True)
                | (Q(done_at__isnull=True) & ~Q(ended_without="")),
                name="turn_ended_because",
            ),
            models.UniqueConstraint(
                fields=["showing"],
                condition=Q(done_at__isnull=True, ended_at__isnull=True),
                name="turn_one_open_per_showing",
            ),
        ]

    def __str__(self) -> str:
        return self.turn_no
