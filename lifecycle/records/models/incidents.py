"""Incidents: what was found, when it was found and when it was told, and what was done."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Certainty, Word
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


class IncidentSeverity(Word):
    NO_CHANGE_SEEN = "no_change_seen"
    CHANGE_REVERSIBLE = "change_reversible"
    LOSS_OR_PERMANENT = "loss_or_permanent"

    @property
    def label(self) -> str:
        return _SEVERITY_LABELS.get(self.value, self.value.replace("_", " "))


_SEVERITY_LABELS = {
    "change_reversible": "change, reversible",
    "loss_or_permanent": "loss, or permanent change",
}


class ToldWhom(Word):
    OWNER_OR_LENDER = "owner_or_lender"
    CONSERVATOR = "conservator"
    CURATOR = "curator"
    HEAD_OF_COLLECTIONS = "head_of_collections"
    INSURER = "insurer"
    POLICE = "police"
    PRESS_OFFICER = "press_officer"
    EMERGENCY_SERVICES = "emergency_services"

    @property
    def label(self) -> str:
        return "owner or lender" if self is ToldWhom.OWNER_OR_LENDER else super().label


class Incident(Coded, Kept):
    """Something happened to an object or a place. Finding and reporting have dates of their own."""

    incident_no = models.CharField(max_length=20, unique=True)
    kind = models.ForeignKey("records.Word", on_delete=models.PROTECT, related_name="+")
    discovered_at = models.DateTimeField()
    reported_at = models.DateTimeField()
    reporter = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    reporter_role = models.CharField(max_length=24)
    happened_from = models.DateTimeField(null=True, blank=True)
    happened_to = models.DateTimeField(null=True, blank=True)
    certainty = models.CharField(
        max_length=12, choices=choices(Certainty), default=Certainty.NOT_KNOWN.value
    )
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, null=True, blank=True, related_name="incidents"
    )
    act_now = models.BooleanField(default=False)
    circumstances = models.TextField()
    picture = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_safe_what = models.TextField(blank=True, default="")
    made_safe_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_safe_at = models.DateTimeField(null=True, blank=True)
    condition_report = models.ForeignKey(
        "records.ConditionReport",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    severity = models.CharField(
        max_length=20, choices=choices(IncidentSeverity), blank=True, default=""
    )
    cause = models.TextField(blank=True, default="")
    lesson = models.TextField(blank=True, default="")
    closed_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["Incident"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("certainty", Certainty, "incident_certainty_known"),
            one_of("severity", IncidentSeverity, "incident_severity_known", blank=True),
            models.CheckConstraint(
                condition=Q(reported_at__gte=F("discovered_at")),
                name="incident_reported_after_found",
            ),
            models.CheckConstraint(
                condition=Q(happened_from__isnull=True)
                | Q(happened_to__isnull=True)
                | Q(happened_to__gte=F("happened_from")),
                name="incident_span_ordered",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True)
                | (Q(closed_by__isnull=False, made_safe_at__isnull=False) & ~Q(severity="")),
                name="incident_closed_complete",
            ),
        ]

    def __str__(self) -> str:
        return self.incident_no


class IncidentObject(Kept):
    """One object, and where known the face, that the incident is about."""

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="lines")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="incident_lines"
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = KeptQuerySet["IncidentObject"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["incident", "museum_object"], name="incident_object_once"
            )
        ]

    def __str__(self) -> str:
        return f"incident line #{self.pk}"


class IncidentStatement(AppendOnly):
    """What one person said they saw, in their words."""

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="statements")
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    text = models.TextField()
    observed_at = models.DateTimeField(null=True, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["IncidentStatement"].as_manager()

    def __str__(self) -> str:
        return f"statement #{self.pk}"


class IncidentTold(AppendOnly):
    """Who was told, how and when; a copy where there is one."""

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="told")
    whom = models.CharField(max_length=24, choices=choices(ToldWhom))
    name = models.CharField(max_length=200)
    how = models.CharField(max_length=120)
    told_at = models.DateTimeField()
    told_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    document = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = AppendOnlyQuerySet["IncidentTold"].as_manager()

    class Meta:
        constraints = [one_of("whom", ToldWhom, "incident_told_known")]

    def __str__(self) -> str:
        return f"{self.whom} told (#{self.pk})"
