"""Closed lists that only the condition records use."""

from django.db import models


class SectionName(models.TextChoices):
    """The sections of a report that one person writes at a time."""

    SUPPORT = "support", "Support"
    MEDIUM = "medium", "Medium"
    BINDING = "binding", "Binding and sewing"
    MOUNT = "mount", "Mount, frame and housing"
    COMPONENTS = "components", "Components"
    PAST_TREATMENT = "past_treatment", "Evidence of past treatment"
    SUMMARY = "summary", "Summary"


class Zone(models.TextChoices):
    """The 3 × 3 grid over a face as displayed: rows A–C from the top, columns 1–3 from left."""

    A1 = "A1", "A1 top left"
    A2 = "A2", "A2 top centre"
    A3 = "A3", "A3 top right"
    B1 = "B1", "B1 middle left"
    B2 = "B2", "B2 centre"
    B3 = "B3", "B3 middle right"
    C1 = "C1", "C1 bottom left"
    C2 = "C2", "C2 bottom centre"
    C3 = "C3", "C3 bottom right"


class Advice(models.TextChoices):
    """What a recommendation is about."""

    TREATMENT = "treatment", "treatment"
    HOUSING = "housing", "housing"
    HANDLING = "handling", "handling"
    DISPLAY = "display", "display"
    LIGHT = "light", "light"
    CLIMATE = "climate", "climate"
    MOUNT = "mount", "mount"


class TreatmentNeed(models.TextChoices):
    NONE = "none", "none"
    BEFORE_DISPLAY = "before_display", "before display"
    LATER = "later", "later"


class AsPlaced(models.TextChoices):
    """How the object sits in its place when it is found."""

    AS_PLACED = "as_placed", "as placed"
    SLIPPED = "slipped", "slipped"
    CANNOT_TELL = "cannot_tell", "cannot tell"


class NextStep(models.TextChoices):
    """Where the object goes after the check at the bench."""

    QUARANTINE = "quarantine", "quarantine"
    BENCH = "bench", "bench"
    HOUSING = "housing", "housing"
    PACK = "pack", "packing"
