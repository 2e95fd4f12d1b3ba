"""Pictures and documents: kept by the hash of their content, the file written before the row."""

from django.db import models
from django.db.models import Q

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
    OTHER = "other"


class Picture(Kept):
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
