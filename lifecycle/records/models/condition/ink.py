"""Iron-gall ink in a report: its rating area by area, spot tests, and the word before a move."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from lifecycle.process.ink import InkLevel, InkMethod, SpotTest, spot_test_means
from lifecycle.process.stages import Role
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    int_choices,
    kept_history,
    one_of,
)
from lifecycle.records.models.condition.reports import ConditionReport
from lifecycle.records.models.condition.words import Zone

COLOURS = [(0, "0 none"), (1, "1 trace"), (2, "2 weak"), (3, "3 clear"), (4, "4 intense")]


class InkRating(Kept):
    """One inked area of a face and its level; the worst area rates the face."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="ink_ratings"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="ink_ratings")
    number = models.PositiveSmallIntegerField()
    area = models.CharField("inked area", max_length=120)
    zone = models.CharField(max_length=2, choices=Zone.choices, blank=True, default="")
    level = models.PositiveSmallIntegerField(choices=int_choices(InkLevel))
    method = models.CharField("looked at", max_length=12, choices=choices(InkMethod))
    note = models.CharField(max_length=240, blank=True, default="")
    written_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="ink_ratings_written"
    )
    written_at = models.DateTimeField()
    taken_back = models.BooleanField("recorded in error", default=False)

    objects = KeptQuerySet["InkRating"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="inkrating_number_once"),
            models.CheckConstraint(
                condition=Q(level__in=[level.value for level in InkLevel]),
                name="inkrating_level_known",
            ),
            models.CheckConstraint(
                condition=Q(zone__in=["", *Zone.values]), name="inkrating_zone_known"
            ),
            models.CheckConstraint(condition=~Q(area=""), name="inkrating_names_its_area"),
            one_of("method", InkMethod, "inkrating_method_known"),
        ]

    def __str__(self) -> str:
        return f"inked area {self.number}"

    @property
    def handling(self) -> str:
        """What its level asks of everybody who handles the object."""
        return InkLevel(self.level).handling


class InkTest(Kept):
    """A spot test on an inked area: strip, water, times, and the colour that was read."""

    frozen_with: ClassVar[str] = "report"

    report = models.ForeignKey(ConditionReport, on_delete=models.PROTECT, related_name="ink_tests")
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="ink_tests")
    number = models.PositiveSmallIntegerField()
    test = models.CharField(max_length=12, choices=choices(SpotTest))
    spot = models.CharField(max_length=120, help_text="Where exactly: line, word, stroke.")
    area = models.ForeignKey(
        InkRating, on_delete=models.PROTECT, null=True, blank=True, related_name="tests"
    )
    strip_lot = models.CharField(max_length=60)
    wetted_with = models.CharField(
        max_length=120, help_text="The liquid, and the size of its drop."
    )
    contact_seconds = models.PositiveSmallIntegerField()
    read_after_seconds = models.PositiveSmallIntegerField()
    colour = models.PositiveSmallIntegerField("colour of the strip", choices=COLOURS)
    consent = models.CharField(max_length=160, help_text="Its number, or who agreed and when.")
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_ink_tests",
    )
    note = models.CharField(max_length=240, blank=True, default="")
    written_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="ink_tests_written"
    )
    written_at = models.DateTimeField()
    taken_back = models.BooleanField("recorded in error", default=False)

    objects = KeptQuerySet["InkTest"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="inktest_number_once"),
            one_of("test", SpotTest, "inktest_test_known"),
            models.CheckConstraint(condition=Q(colour__range=(0, 4)), name="inktest_colour_known"),
            models.CheckConstraint(condition=~Q(consent=""), name="inktest_has_consent"),
            models.CheckConstraint(condition=~Q(spot=""), name="inktest_names_its_spot"),
        ]

    def __str__(self) -> str:
        return f"spot test {self.number}"

    @property
    def means(self) -> str:
        """What the colour says, and what it does not."""
        return spot_test_means(SpotTest(self.test), self.colour)


class InkSignOff(AppendOnly):
    """A conservator's word on how a face with poor ink is moved; it holds until its day.

    It answers one signed rating: a later report that rates the face asks anew.
    """

    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="ink_sign_offs")
    report = models.ForeignKey(
        ConditionReport, on_delete=models.PROTECT, related_name="ink_sign_offs"
    )
    level = models.PositiveSmallIntegerField(choices=int_choices(InkLevel))
    how = models.CharField("how it is moved", max_length=500)
    until = models.DateField("holds until")
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="ink_sign_offs")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["InkSignOff"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(level__in=[level.value for level in InkLevel]),
                name="inksignoff_level_known",
            ),
            models.CheckConstraint(condition=~Q(how=""), name="inksignoff_says_how"),
            one_of("role", Role, "inksignoff_role_known"),
        ]

    def __str__(self) -> str:
        return f"moving signed off (#{self.pk})"
