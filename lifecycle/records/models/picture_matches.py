"""How one picture of a face lies on another: points that somebody marked in both."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.process.words import Word
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture


class MatchFit(Word):
    """What may differ between the two pictures."""

    SIMILARITY = "similarity"
    AFFINE = "affine"

    @property
    def label(self) -> str:
        return {
            "similarity": "shift, turn and size",
            "affine": "also slant, and size in two directions",
        }[self.value]


class PictureMatch(AppendOnly):
    """One marking of common points; a better one is a new row, and the newest counts."""

    upper = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="laid_on")
    lower = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="under")
    fit = models.CharField(max_length=12, choices=choices(MatchFit))
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=24, choices=choices(Role))
    at = models.DateTimeField()

    objects = AppendOnlyQuerySet["PictureMatch"].as_manager()

    class Meta:
        constraints = [
            one_of("fit", MatchFit, "picture_match_fit_known"),
            models.CheckConstraint(
                condition=~Q(upper=F("lower")), name="picture_match_of_two_pictures"
            ),
        ]

    def __str__(self) -> str:
        return f"match of pictures #{self.upper_id} on #{self.lower_id} (#{self.pk})"


class MatchedPoint(AppendOnly):
    """One point in both pictures, in pixels of each from its left and top, as it is shown."""

    match = models.ForeignKey(PictureMatch, on_delete=models.PROTECT, related_name="points")
    number = models.PositiveSmallIntegerField()
    upper_x = models.DecimalField("upper, from the left", max_digits=8, decimal_places=1)
    upper_y = models.DecimalField("upper, from the top", max_digits=8, decimal_places=1)
    lower_x = models.DecimalField("lower, from the left", max_digits=8, decimal_places=1)
    lower_y = models.DecimalField("lower, from the top", max_digits=8, decimal_places=1)

    objects = AppendOnlyQuerySet["MatchedPoint"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["match", "number"], name="matched_point_once"),
            models.CheckConstraint(
                condition=Q(upper_x__gte=0, upper_y__gte=0, lower_x__gte=0, lower_y__gte=0),
                name="matched_point_on_the_pictures",
            ),
        ]

    def __str__(self) -> str:
        return f"point {self.number} of match #{self.match_id}"
