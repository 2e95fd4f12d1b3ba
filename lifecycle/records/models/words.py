"""Open lists that the museum keeps itself: each word with code, label, our own definition."""

from django.db import models

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of


class Vocabulary(ClosedList):
    OBJECT_TYPE = "object_type"
    MATERIAL = "material"
    TECHNIQUE = "technique"
    CONDITION_TERM = "condition_term"
    NOT_SEEN = "not_seen"
    REPORT_REASON = "report_reason"
    GALLERY_LIGHT = "gallery_light"
    TREATMENT_STEP = "treatment_step"
    MOUNT_KIND = "mount_kind"
    HOUSING_KIND = "housing_kind"
    MOVE_REASON = "move_reason"
    MOVE_METHOD = "move_method"
    GROUND = "ground"
    INCIDENT_KIND = "incident_kind"
    IMAGE_TARGET = "image_target"


class Word(Kept):
    vocabulary = models.CharField(max_length=24, choices=choices(Vocabulary))
    code = models.SlugField(max_length=60)
    label = models.CharField(max_length=120)
    definition = models.TextField(blank=True)
    group = models.CharField(max_length=60, blank=True)
    external_identifier = models.CharField(max_length=200, blank=True)
    retired_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["Word"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["vocabulary", "code"], name="word_once_in_its_list"),
            one_of("vocabulary", Vocabulary, "word_vocabulary_known"),
        ]

    def __str__(self) -> str:
        return self.label
