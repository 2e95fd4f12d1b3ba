"""Requests by list: the list as it was asked, and the answer each of its lines was given."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from lifecycle.process.stages import Role
from lifecycle.process.words import ListAnswer
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of


class RequestList(AppendOnly):
    """A list of objects asked for at once, kept as it was typed, so that no line is lost."""

    exhibition = models.ForeignKey(
        "records.Exhibition", on_delete=models.PROTECT, related_name="request_lists"
    )
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()
    source = models.CharField(max_length=200, help_text="Pasted, or the name of the file.")
    text = models.TextField(help_text="The list as it was typed.")
    said = models.JSONField(
        default=dict, help_text="What holds for every line that says nothing else."
    )
    rules_version = models.PositiveIntegerField(null=True, blank=True)

    objects = AppendOnlyQuerySet["RequestList"].as_manager()

    class Meta:
        constraints = [
            one_of("role", Role, "request_list_role_known"),
            models.CheckConstraint(condition=~Q(text=""), name="request_list_not_empty"),
        ]

    def __str__(self) -> str:
        return f"list of requests (#{self.pk})"


class RequestLine(AppendOnly):
    """The answer one line was given at a moment; the last row of a line counts.

    A line asked again (with the number that was meant, or all the same) is a further row.
    """

    request_list = models.ForeignKey(RequestList, on_delete=models.PROTECT, related_name="lines")
    number = models.PositiveIntegerField(help_text="The line of the list, as a person counts.")
    typed = models.JSONField(default=dict, help_text="The line as it was typed, by column.")
    object_number = models.CharField(max_length=200, help_text="As typed, or as chosen later.")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    answer = models.CharField(max_length=16, choices=choices(ListAnswer))
    because = models.TextField()
    earliest = models.DateField(null=True, blank=True)
    notes = models.JSONField(default=list, blank=True)
    bookings = models.JSONField(default=list, blank=True)
    nearest = models.JSONField(default=list, blank=True)
    alternatives = models.PositiveSmallIntegerField(default=0)
    inputs = models.JSONField(
        default=dict,
        blank=True,
        encoder=DjangoJSONEncoder,
        help_text="What the answer was computed from.",
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="request_lines",
    )
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["RequestLine"].as_manager()

    class Meta:
        constraints = [
            one_of("answer", ListAnswer, "request_line_answer_known"),
            one_of("role", Role, "request_line_role_known"),
            models.CheckConstraint(condition=~Q(because=""), name="request_line_says_why"),
            models.CheckConstraint(
                condition=~Q(answer="go") | Q(showing__isnull=False),
                name="request_line_go_has_a_showing",
            ),
        ]

    def __str__(self) -> str:
        return f"line {self.number} (#{self.pk})"
