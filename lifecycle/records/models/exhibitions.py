"""Exhibitions: their dates, closed days, places and people."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import ExhibitionState
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of


class Exhibition(Coded, Kept):
    short = models.CharField("code", max_length=12, unique=True)
    title = models.CharField(max_length=300)
    places = models.ManyToManyField("records.Place", blank=True, related_name="exhibitions")
    install_from = models.DateField()
    opens = models.DateField()
    closes = models.DateField(help_text="Last day open.")
    deinstall_until = models.DateField()
    closed_weekdays = models.JSONField(
        default=list, blank=True, help_text="Numbers of the closed weekdays, 0 is Monday."
    )
    extra_closed_days = models.JSONField(default=list, blank=True, help_text="ISO dates.")
    manager = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="manages"
    )
    curators = models.ManyToManyField("records.Person", blank=True, related_name="curates")
    timetable = models.ForeignKey(
        "records.LitTimetable", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    state = models.CharField(
        max_length=12, choices=choices(ExhibitionState), default=ExhibitionState.PLANNED.value
    )

    objects = KeptQuerySet["Exhibition"].as_manager()
    history = kept_history(m2m_fields=[places, curators])

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(opens__gte=F("install_from"))
                & Q(closes__gte=F("opens"))
                & Q(deinstall_until__gte=F("closes")),
                name="exhibition_dates_ordered",
            ),
            one_of("state", ExhibitionState, "exhibition_state_known"),
        ]

    def __str__(self) -> str:
        return self.title
