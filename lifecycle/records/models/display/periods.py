"""Display periods: which face of which object was to be seen where, from when to when."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Certainty, Word
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)
from lifecycle.records.resting import PERIOD, Rests


class PeriodOpening(Word):
    """What put the face on show; each has its own record."""

    INSTALL = "install"
    TURN = "turn"
    SWAP = "swap"
    TAKEN_OVER = "taken_over"


class DisplayPeriod(Kept):
    """One face of one object in one position. Open while ``closed_at`` is empty.

    A period that belonged to a move made in error is struck, never deleted.
    """

    rests_on: ClassVar[tuple[Rests, ...]] = PERIOD

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="display_periods"
    )
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="display_periods"
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, related_name="display_periods"
    )
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="display_periods"
    )
    install_check = models.OneToOneField(
        "records.InstallCheck",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="period",
    )
    turn = models.OneToOneField(
        "records.TurnRecord",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="period",
    )
    opened_by = models.CharField(max_length=12, choices=choices(PeriodOpening))
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_reason = models.TextField(blank=True, default="")

    objects = KeptQuerySet["DisplayPeriod"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("opened_by", PeriodOpening, "period_opening_known"),
            models.UniqueConstraint(
                fields=["museum_object"],
                condition=Q(closed_at__isnull=True, struck_at__isnull=True),
                name="period_one_open_per_object",
            ),
            models.UniqueConstraint(
                fields=["place"],
                condition=Q(closed_at__isnull=True, struck_at__isnull=True),
                name="period_one_open_per_position",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("opened_at")),
                name="period_closed_after_opened",
            ),
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True) | ~Q(struck_reason=""),
                name="period_struck_because",
            ),
        ]

    def __str__(self) -> str:
        return f"display period #{self.pk}"


class TakeOver(AppendOnly):
    """What hung when the museum began: stated as far as known, never signed backwards."""

    showing = models.OneToOneField(
        "records.Showing", on_delete=models.PROTECT, related_name="take_over"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="+")
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    since_from = models.DateTimeField(null=True, blank=True)
    since_to = models.DateTimeField(null=True, blank=True)
    since_certainty = models.CharField(max_length=12, choices=choices(Certainty))
    last_report = models.CharField(max_length=200, blank=True, default="")
    last_report_scan = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    no_report_known = models.BooleanField(default=False)
    light_low_lx_h = models.PositiveIntegerField()
    light_likely_lx_h = models.PositiveIntegerField()
    light_high_lx_h = models.PositiveIntegerField()
    light_basis = models.TextField()
    missing = models.JSONField(default=list)
    registrar = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    conservator = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["TakeOver"].as_manager()

    class Meta:
        constraints = [
            one_of("since_certainty", Certainty, "take_over_certainty_known"),
            models.CheckConstraint(
                condition=Q(light_likely_lx_h__gte=F("light_low_lx_h"))
                & Q(light_high_lx_h__gte=F("light_likely_lx_h")),
                name="take_over_light_ordered",
            ),
            models.CheckConstraint(
                condition=Q(since_from__isnull=True)
                | Q(since_to__isnull=True)
                | Q(since_to__gte=F("since_from")),
                name="take_over_since_ordered",
            ),
            models.CheckConstraint(
                condition=Q(no_report_known=True, last_report="")
                | (Q(no_report_known=False) & ~Q(last_report="")),
                name="take_over_report_or_none_known",
            ),
        ]

    def __str__(self) -> str:
        return f"taken over {self.at:%Y-%m-%d} (#{self.pk})"
