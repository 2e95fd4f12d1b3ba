"""Housing: the box or folder without which the object does not go home."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Orientation
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.objects import Component, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.words import Word


class Board(ClosedList):
    """What touches or surrounds the object in its housing."""

    ALKALINE_RESERVE = "alkaline_reserve"
    UNBUFFERED = "unbuffered"
    POLYESTER = "polyester"
    OTHER = "other"

    @property
    def label(self) -> str:
        return {
            "alkaline_reserve": "board with alkaline reserve",
            "unbuffered": "unbuffered board",
            "polyester": "polyester film",
            "other": "other",
        }[self.value]


class OldHousing(ClosedList):
    NONE = "none"
    KEPT = "kept"
    DISCARDED = "discarded"
    RETURNED_TO_STORE = "returned_to_store"

    @property
    def label(self) -> str:
        return "there was none" if self is OldHousing.NONE else self.value.replace("_", " ")


class OldNotes(ClosedList):
    """Old notes on a housing are evidence."""

    NONE = "none"
    COPIED = "copied"
    PHOTOGRAPHED = "photographed"

    @property
    def label(self) -> str:
        return "there were none" if self is OldNotes.NONE else self.value


class Housing(Coded, Kept):
    """The housing of an object, or of one of its components."""

    housing_no = models.CharField(max_length=16, unique=True)
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="housings"
    )
    component = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="housings"
    )
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="housings"
    )
    edition = models.PositiveIntegerField("times saved", default=1)
    kind = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    board = models.CharField(max_length=16, choices=choices(Board))
    board_reason = models.TextField("why this board in spite of the caution", blank=True)
    fit_for_travel = models.BooleanField("can travel in it", default=False)
    air_access = models.BooleanField("air can reach it", default=False)
    inner_height_mm = models.DecimalField(
        "inner height, mm", max_digits=7, decimal_places=1, null=True, blank=True
    )
    inner_width_mm = models.DecimalField(
        "inner width, mm", max_digits=7, decimal_places=1, null=True, blank=True
    )
    inner_depth_mm = models.DecimalField(
        "inner depth, mm", max_digits=7, decimal_places=1, null=True, blank=True
    )
    orientation = models.CharField(
        max_length=16, choices=choices(Orientation), default=Orientation.ANY
    )
    lift_aid = models.CharField(max_length=160, blank=True)
    closure = models.CharField(max_length=160, blank=True)
    with_whom = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="housings"
    )
    specified_on = models.DateField()
    specified_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    ordered_on = models.DateField(null=True, blank=True)
    made_by = models.CharField(max_length=120, blank=True)
    made_on = models.DateField(null=True, blank=True)
    fits = models.BooleanField("fits, tried with the object", null=True, blank=True)
    fits_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    fits_at = models.DateTimeField(null=True, blank=True)
    fits_note = models.TextField(blank=True)
    label_printed_at = models.DateTimeField("label written by hand at", null=True, blank=True)
    label_says = models.TextField(
        "what the label written by hand says",
        blank=True,
        help_text="A printed label is a print of its own and needs no word here.",
    )
    contents_picture = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    old_housing_picture = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    old_notes_picture = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    old_housing = models.CharField(
        max_length=18, choices=choices(OldHousing), default=OldHousing.NONE
    )
    old_notes = models.CharField(max_length=14, choices=choices(OldNotes), default=OldNotes.NONE)
    old_notes_kept = models.TextField("where the copy or picture is", blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_why = models.TextField(blank=True)

    objects = KeptQuerySet["Housing"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("board", Board, "housing_board_known"),
            one_of("orientation", Orientation, "housing_orientation_known"),
            one_of("old_housing", OldHousing, "housing_old_known"),
            one_of("old_notes", OldNotes, "housing_old_notes_known"),
            models.UniqueConstraint(
                fields=["museum_object"],
                condition=Q(component__isnull=True, retired_at__isnull=True),
                name="housing_one_in_use_per_object",
            ),
            models.UniqueConstraint(
                fields=["component"],
                condition=Q(component__isnull=False, retired_at__isnull=True),
                name="housing_one_in_use_per_component",
            ),
            models.CheckConstraint(
                condition=Q(fits__isnull=True)
                | Q(made_on__isnull=False, fits_by__isnull=False, fits_at__isnull=False),
                name="housing_fit_tried_when_made",
            ),
            models.CheckConstraint(
                condition=Q(made_on__isnull=True)
                | Q(ordered_on__isnull=True)
                | Q(made_on__gte=F("ordered_on")),
                name="housing_made_after_ordered",
            ),
            models.CheckConstraint(
                condition=Q(old_notes=OldNotes.NONE) | ~Q(old_notes_kept=""),
                name="housing_old_notes_kept_somewhere",
            ),
            models.CheckConstraint(
                condition=Q(label_says="") | Q(label_printed_at__isnull=False),
                name="housing_label_by_hand_dated",
            ),
            models.CheckConstraint(
                condition=Q(retired_at__isnull=True) | ~Q(retired_why=""),
                name="housing_retired_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.housing_no
