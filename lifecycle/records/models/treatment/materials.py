"""Materials that meet objects: what, which grade, which batch, accepted for what."""

from django.db import models

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of


class MaterialKind(ClosedList):
    """Generic groups of treatment and mount materials (common practice, no brands)."""

    TISSUE = "tissue"
    ADHESIVE = "adhesive"
    WATER = "water"
    SOLVENT = "solvent"
    GEL = "gel"
    BOARD = "board"
    TEXTILE = "textile"
    FILM = "film"
    METAL = "metal"
    TOOL = "tool"
    OTHER = "other"

    @property
    def label(self) -> str:
        return _KIND_LABELS[self]


_KIND_LABELS = {
    MaterialKind.TISSUE: "paper or tissue",
    MaterialKind.ADHESIVE: "adhesive",
    MaterialKind.WATER: "water or watery solution",
    MaterialKind.SOLVENT: "organic solvent",
    MaterialKind.GEL: "gel or poultice",
    MaterialKind.BOARD: "board",
    MaterialKind.TEXTILE: "textile or thread",
    MaterialKind.FILM: "plastic film or sheet",
    MaterialKind.METAL: "metal",
    MaterialKind.TOOL: "brush, sponge or other aid",
    MaterialKind.OTHER: "other",
}

BRINGS_MOISTURE = frozenset({MaterialKind.ADHESIVE, MaterialKind.WATER, MaterialKind.GEL})


class MaterialTest(ClosedList):
    """How far a material is known to be safe near objects."""

    ACCEPTED_LIST = "accepted_list"
    TESTED = "tested"
    TO_TEST = "to_test"
    FAILED = "failed"

    @property
    def label(self) -> str:
        return {
            "accepted_list": "on the accepted list",
            "tested": "tested",
            "to_test": "still to be tested",
            "failed": "failed its test",
        }[self.value]


class Material(Kept):
    """One grade and batch, so that every object treated with it can be found again."""

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=12, choices=choices(MaterialKind))
    grade = models.CharField(max_length=120, blank=True)
    maker = models.CharField("maker or supplier", max_length=120, blank=True)
    batch = models.CharField(max_length=60, blank=True)
    opened_on = models.DateField(null=True, blank=True)
    safety_note = models.TextField(
        blank=True,
        help_text="In your words, from the safety data sheet, which stays the authority.",
    )
    accepted_for_contact = models.BooleanField("accepted touching objects", default=False)
    accepted_for_case = models.BooleanField("accepted in a closed case", default=False)
    accepted_for_mount = models.BooleanField("accepted in mounts", default=False)
    test_state = models.CharField(
        max_length=14, choices=choices(MaterialTest), default=MaterialTest.TO_TEST
    )
    tested_on = models.DateField(null=True, blank=True)
    test_result = models.TextField(blank=True)
    alkaline = models.BooleanField(
        "holds an alkaline reserve", null=True, blank=True, help_text="Empty: not known."
    )
    used_up_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["Material"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("kind", MaterialKind, "material_kind_known"),
            one_of("test_state", MaterialTest, "material_test_known"),
            models.UniqueConstraint(
                fields=["name", "grade", "batch"], name="material_one_row_per_batch"
            ),
            models.CheckConstraint(
                condition=~models.Q(test_state=MaterialTest.TESTED)
                | models.Q(tested_on__isnull=False),
                name="material_tested_has_day",
            ),
        ]

    def __str__(self) -> str:
        parts = [self.name, self.grade, f"batch {self.batch}" if self.batch else ""]
        return ", ".join(part for part in parts if part)
