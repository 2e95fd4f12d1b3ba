"""One object's whole trip for one exhibition, and everything decided about it.

``Showing.stage`` is written by ``lifecycle.actions.moves`` and nowhere else.
"""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.words import Answer, HoldKind, Priority
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
from lifecycle.records.resting import JOURNAL, Rests


class Showing(Coded, Kept):
    request_no = models.CharField(max_length=16, unique=True)
    exhibition = models.ForeignKey(
        "records.Exhibition", on_delete=models.PROTECT, related_name="showings"
    )
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="showings"
    )
    stage = models.CharField(
        max_length=16, choices=choices(Stage), default=Stage.SELECTION.value, editable=False
    )
    exhibition_number = models.CharField(max_length=20, blank=True)
    asked_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    reason = models.TextField(help_text="Why this object, why this face.")
    priority = models.CharField(
        max_length=12, choices=choices(Priority), default=Priority.IMPORTANT.value
    )
    show_from = models.DateField()
    show_to = models.DateField()
    place = models.ForeignKey(
        "records.Place",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="planned_showings",
        help_text="The position it is planned for.",
    )
    support_idea = models.CharField(max_length=200, blank=True)
    angle_idea = models.PositiveSmallIntegerField("angle wished [°]", null=True, blank=True)
    public_handling = models.CharField(max_length=200, blank=True)
    events_and_filming = models.CharField(max_length=200, blank=True)
    loan = models.ForeignKey(
        "records.Loan", on_delete=models.PROTECT, null=True, blank=True, related_name="showings"
    )
    late_note = models.CharField(
        max_length=300, blank=True, help_text="Why the request comes later than the rule asks."
    )
    no_alternative_because = models.CharField(max_length=300, blank=True)
    duplicates_seen = models.BooleanField(
        default=False, help_text="Other bookings of this object were shown before asking."
    )
    stands_alone_note = models.CharField(
        max_length=300, blank=True, help_text="The curator's word that it may stand alone."
    )
    stands_alone_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    substitute = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="stands_in_for"
    )
    no_substitute_wanted = models.BooleanField(default=False)
    taken_over_on = models.DateField(null=True, blank=True)
    taken_over_note = models.TextField(blank=True)
    passed_on_to = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="passed_on_from"
    )
    resting_until = models.JSONField(
        null=True, blank=True, help_text="Per face, with the inputs it was computed from."
    )

    objects = KeptQuerySet["Showing"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("stage", Stage, "showing_stage_known"),
            one_of("priority", Priority, "showing_priority_known"),
            models.CheckConstraint(
                condition=Q(show_to__gte=F("show_from")), name="showing_dates_ordered"
            ),
            models.UniqueConstraint(
                fields=["museum_object"],
                condition=~Q(stage__in=sorted([*CLOSED, Stage.SELECTION])),
                name="showing_one_open_past_selection",
            ),
            models.UniqueConstraint(
                fields=["exhibition", "exhibition_number"],
                condition=~Q(exhibition_number="") & ~Q(stage__in=sorted(CLOSED)),
                name="showing_exhibition_number_once",
            ),
        ]

    def __str__(self) -> str:
        return self.request_no


class FaceWanted(Kept):
    """One face of the plan, in order, with its own span inside the showing."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="faces_wanted")
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="wanted_in")
    order = models.PositiveSmallIntegerField()
    from_on = models.DateField()
    until_on = models.DateField()
    must = models.BooleanField(default=True, help_text="Must be shown; otherwise nice to have.")
    struck = models.BooleanField(default=False)

    objects = KeptQuerySet["FaceWanted"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["showing", "order"],
                condition=Q(struck=False),
                name="face_wanted_order_once",
            ),
            models.CheckConstraint(
                condition=Q(until_on__gte=F("from_on")), name="face_wanted_dates_ordered"
            ),
        ]

    def __str__(self) -> str:
        return f"face {self.order} (#{self.pk})"


class Alternative(Kept):
    """What could be shown instead; asked for with the request, not after the no."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="alternatives")
    order = models.PositiveSmallIntegerField()
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    text = models.CharField(max_length=300, blank=True)

    objects = KeptQuerySet["Alternative"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["showing", "order"], name="alternative_order_once"),
            models.CheckConstraint(
                condition=Q(museum_object__isnull=False) | Q(face__isnull=False) | ~Q(text=""),
                name="alternative_says_something",
            ),
        ]

    def __str__(self) -> str:
        return f"alternative {self.order} (#{self.pk})"


class RequestAnswer(AppendOnly):
    """The conservator's answer with its inputs, so that it comes out the same years later."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="answers")
    answer = models.CharField(max_length=20, choices=choices(Answer))
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()
    conditions = models.TextField(blank=True)
    earliest = models.DateField(null=True, blank=True)
    because = models.TextField()
    grounds = models.JSONField(default=list, blank=True)
    offered = models.TextField(blank=True)
    rules_version = models.PositiveIntegerField(null=True, blank=True)
    inputs = models.JSONField(default=dict)
    override_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    override_reason = models.TextField(blank=True)

    objects = AppendOnlyQuerySet["RequestAnswer"].as_manager()

    class Meta:
        constraints = [
            one_of("answer", Answer, "answer_known"),
            one_of("role", Role, "answer_role_known"),
            models.CheckConstraint(
                condition=Q(override_by=None, override_reason="")
                | (Q(override_by__isnull=False) & ~Q(override_reason="")),
                name="override_has_person_and_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.answer} (#{self.pk})"


class JournalEntry(AppendOnly):
    """One move that was made; the time line of the showing."""

    rests_on: ClassVar[tuple[Rests, ...]] = JOURNAL

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="journal")
    move = models.CharField(max_length=24)
    from_stage = models.CharField(max_length=16, choices=choices(Stage), blank=True)
    to_stage = models.CharField(max_length=16, choices=choices(Stage))
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    second = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()
    reason = models.TextField(blank=True)
    evidence = models.JSONField(default=dict)
    waivers = models.JSONField(default=list)

    objects = AppendOnlyQuerySet["JournalEntry"].as_manager()

    class Meta:
        constraints = [
            one_of("to_stage", Stage, "journal_to_stage_known"),
            one_of("from_stage", Stage, "journal_from_stage_known", blank=True),
            one_of("role", Role, "journal_role_known"),
            models.CheckConstraint(
                condition=Q(second=None) | ~Q(second=F("by")), name="journal_second_is_another"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.move} (#{self.pk})"


class StruckMove(AppendOnly):
    """A move that was made in error and taken back; the struck entry stays visible."""

    entry = models.OneToOneField(JournalEntry, on_delete=models.PROTECT, related_name="struck")
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()
    reason = models.TextField()

    objects = AppendOnlyQuerySet["StruckMove"].as_manager()

    class Meta:
        constraints = [
            one_of("role", Role, "struck_role_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="struck_with_a_reason"),
        ]

    def __str__(self) -> str:
        return f"struck (#{self.pk})"


class Waiver(Kept):
    """One gate of one showing waived by a named person, with a reason and an end."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="waivers")
    code = models.CharField(max_length=60)
    about = models.CharField(max_length=120, blank=True)
    text = models.CharField(max_length=300, help_text="The reason that was waived, in its words.")
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()
    reason = models.TextField()
    until = models.DateField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["Waiver"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["showing", "code", "about"],
                condition=Q(ended_at=None),
                name="waiver_once_a_gate",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="waiver_has_a_reason"),
            one_of("role", Role, "waiver_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.code} (#{self.pk})"


class Hold(Kept):
    """Lies on the object, so that it follows it into its next showing."""

    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="holds"
    )
    showing = models.ForeignKey(
        Showing, on_delete=models.PROTECT, null=True, blank=True, related_name="holds"
    )
    kind = models.CharField(max_length=20, choices=choices(HoldKind))
    reason = models.TextField()
    placed_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    placed_role = models.CharField(max_length=24, choices=choices(Role))
    placed_at = models.DateTimeField()
    decision = models.TextField(blank=True)
    asks_treatment = models.BooleanField(
        default=False, help_text="The decision asks for treatment; it may begin."
    )
    lifted_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lifted_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["Hold"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("kind", HoldKind, "hold_kind_known"),
            one_of("placed_role", Role, "hold_role_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="hold_has_a_reason"),
            models.CheckConstraint(
                condition=Q(lifted_at=None, lifted_by=None)
                | (Q(lifted_at__isnull=False) & Q(lifted_by__isnull=False) & ~Q(decision="")),
                name="hold_lifted_with_a_decision",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} (#{self.pk})"
