"""Pictures and documents: kept by the hash of their content, the file written before the row."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import LightKind, Word
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of


class PicturePurpose(Word):
    RECORD_BEFORE = "record_before"
    RECORD_DURING = "record_during"
    RECORD_AFTER = "record_after"
    DAMAGE_DETAIL = "damage_detail"
    PUBLICATION = "publication"
    FACSIMILE_MASTER = "facsimile_master"
    COURIER_COPY = "courier_copy"
    FACE = "face"
    CONDITION = "condition"
    AS_PLACED = "as_placed"
    AS_FOUND = "as_found"
    MOUNT_FIT = "mount_fit"
    READING_POINT = "reading_point"
    OLD_HOUSING = "old_housing"
    PLAN = "plan"
    OTHER = "other"


def pixels(label: str) -> "models.DecimalField[Any, Any]":
    """A place on the picture in pixels, as it is shown, from its left or top."""
    return models.DecimalField(label, max_digits=8, decimal_places=1, null=True, blank=True)


def _none_of(*names: str) -> Q:
    return Q(**{f"{name}__isnull": True for name in names})


def _all_of(*names: str) -> Q:
    """A check that is not known, as with a NULL, lets the row pass: so each must be there."""
    return Q(**{f"{name}__isnull": False for name in names})


class Picture(Kept):
    """A kept picture. Ruler and edges of the face are marked on it once; history keeps both."""

    sha256 = models.CharField(max_length=64, db_index=True)
    name = models.CharField(max_length=200)
    mime = models.CharField(max_length=60)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    size_bytes = models.PositiveBigIntegerField()
    museum_object = models.ForeignKey(
        "records.MuseumObject",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="pictures",
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    purpose = models.CharField(
        max_length=20, choices=choices(PicturePurpose), default=PicturePurpose.OTHER.value
    )
    light = models.CharField(max_length=20, choices=choices(LightKind), blank=True)
    scale_present = models.BooleanField(default=False)
    ruler_x1 = pixels("start of the ruler, from the left")
    ruler_y1 = pixels("start of the ruler, from the top")
    ruler_x2 = pixels("end of the ruler, from the left")
    ruler_y2 = pixels("end of the ruler, from the top")
    ruler_mm = models.DecimalField(
        "distance on the ruler", max_digits=8, decimal_places=2, null=True, blank=True
    )
    edge_left = pixels("left edge of the face")
    edge_top = pixels("top edge of the face")
    edge_right = pixels("right edge of the face")
    edge_bottom = pixels("bottom edge of the face")
    rights = models.CharField(max_length=200, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    entered_at = models.DateTimeField()

    objects = KeptQuerySet["Picture"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(width__gte=1) & Q(height__gte=1), name="picture_has_a_size"
            ),
            models.CheckConstraint(
                condition=_none_of("ruler_x1", "ruler_y1", "ruler_x2", "ruler_y2", "ruler_mm")
                | (
                    _all_of("ruler_x1", "ruler_y1", "ruler_x2", "ruler_y2", "ruler_mm")
                    & Q(ruler_mm__gt=0)
                    & ~Q(ruler_x1=F("ruler_x2"), ruler_y1=F("ruler_y2"))
                ),
                name="picture_ruler_has_a_length",
            ),
            models.CheckConstraint(
                condition=_none_of("edge_left", "edge_top", "edge_right", "edge_bottom")
                | (
                    _all_of("edge_left", "edge_top", "edge_right", "edge_bottom")
                    & Q(edge_left__gte=0, edge_top__gte=0)
                    & Q(edge_right__gt=F("edge_left"), edge_bottom__gt=F("edge_top"))
                ),
                name="picture_edges_enclose_the_face",
            ),
            one_of("purpose", PicturePurpose, "picture_purpose_known"),
            one_of("light", LightKind, "picture_light_known", blank=True),
        ]

    def __str__(self) -> str:
        return self.name


class Document(Kept):
    """A scan, a signed agreement, a certificate."""

    sha256 = models.CharField(max_length=64, db_index=True)
    name = models.CharField(max_length=200)
    mime = models.CharField(max_length=60)
    size_bytes = models.PositiveBigIntegerField()
    title = models.CharField(max_length=200)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = KeptQuerySet["Document"].as_manager()
    history = kept_history()

    def __str__(self) -> str:
        return self.title
