"""Where objects can be: the tree of places, their reading points and the hours they are lit."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import LitPurpose, PlaceKind, Word
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of


class TimetableSource(Word):
    TIMETABLE = "timetable"
    SWITCH_LOG = "switch_log"
    LOGGER = "logger"


class LitTimetable(Kept):
    """When the lamps are on, by weekday and purpose, with dated exceptions."""

    name = models.CharField(max_length=120, unique=True)
    source = models.CharField(max_length=16, choices=choices(TimetableSource))
    cover_factor_percent = models.PositiveSmallIntegerField(
        default=100, help_text="Share of the lit time that reaches the object (curtain, drawer)."
    )
    cover_basis = models.CharField(max_length=200, blank=True)

    objects = KeptQuerySet["LitTimetable"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(cover_factor_percent__lte=100), name="timetable_cover_percent"
            ),
            one_of("source", TimetableSource, "timetable_source_known"),
        ]

    def __str__(self) -> str:
        return self.name


class LitSpan(Kept):
    """One span of local time on one weekday (0 is Monday); ``ends`` 00:00 means midnight after."""

    timetable = models.ForeignKey(LitTimetable, on_delete=models.PROTECT, related_name="spans")
    weekday = models.PositiveSmallIntegerField()
    purpose = models.CharField(max_length=12, choices=choices(LitPurpose))
    starts = models.TimeField()
    ends = models.TimeField()
    retired_on = models.DateField(null=True, blank=True)
    from_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["LitSpan"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="lit_span_weekday"),
            models.CheckConstraint(
                condition=Q(ends__gt=F("starts")) | Q(ends="00:00"), name="lit_span_ordered"
            ),
            one_of("purpose", LitPurpose, "lit_span_purpose_known"),
        ]

    def __str__(self) -> str:
        return f"{self.weekday} {self.starts:%H:%M}–{self.ends:%H:%M}"


class LitException(Kept):
    """A day on which the week does not hold: dark, or other spans instead of the week's."""

    timetable = models.ForeignKey(LitTimetable, on_delete=models.PROTECT, related_name="exceptions")
    on = models.DateField()
    dark = models.BooleanField(default=False, help_text="Nothing is lit on this day.")
    adds = models.BooleanField(
        default=False, help_text="Added to the week's hours instead of standing for them."
    )
    purpose = models.CharField(max_length=12, choices=choices(LitPurpose), blank=True)
    starts = models.TimeField(null=True, blank=True)
    ends = models.TimeField(null=True, blank=True)
    reason = models.CharField(max_length=200)
    struck = models.BooleanField(default=False)

    objects = KeptQuerySet["LitException"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(dark=True, starts=None, ends=None)
                | (
                    Q(dark=False, starts__isnull=False, ends__isnull=False)
                    & (Q(ends__gt=F("starts")) | Q(ends="00:00"))
                ),
                name="lit_exception_dark_or_span",
            ),
            one_of("purpose", LitPurpose, "lit_exception_purpose_known", blank=True),
        ]

    def __str__(self) -> str:
        return f"{self.on:%Y-%m-%d}"


class Place(Coded, Kept):
    """A node of ``site > building > room > case > position`` or ``store > bay > shelf``."""

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=12, choices=choices(PlaceKind))
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children"
    )
    timetable = models.ForeignKey(
        LitTimetable, on_delete=models.PROTECT, null=True, blank=True, related_name="places"
    )
    public = models.BooleanField(default=False)
    organisation = models.ForeignKey(
        "records.Organisation", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lock_note = models.CharField(
        max_length=200, blank=True, help_text="Restricted; never on a gallery sheet."
    )
    closed_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["Place"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("kind", PlaceKind, "place_kind_known"),
            models.UniqueConstraint(fields=["parent", "name"], name="place_name_once_under_parent"),
            models.UniqueConstraint(
                fields=["name"], condition=Q(parent=None), name="place_name_once_at_the_top"
            ),
            models.CheckConstraint(condition=~Q(parent=F("id")), name="place_not_its_own_parent"),
        ]

    def __str__(self) -> str:
        return self.name


class ReadingPoint(Kept):
    """A fixed point and plane where light is read, so that readings can be compared."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="reading_points")
    letter = models.CharField(max_length=4)
    label = models.CharField(max_length=120, help_text="Where the sensor lies and faces.")
    photo = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["ReadingPoint"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["place", "letter"], name="point_letter_once_a_place")
        ]

    def __str__(self) -> str:
        return self.letter
