"""Materials that meet objects: what, which grade, which batch, accepted for what."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.material_tests import RATINGS, HowTested, Rating
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document


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

STAYS_ON = frozenset(
    {
        MaterialKind.TISSUE,
        MaterialKind.ADHESIVE,
        MaterialKind.BOARD,
        MaterialKind.TEXTILE,
        MaterialKind.FILM,
        MaterialKind.METAL,
    }
)
"""Kinds that stay on the object when the work is done: somebody will want to take them off."""

PLAIN_WORDS = {
    MaterialKind.TISSUE: "Thin paper, usually of long fibres, that holds a tear or a weak place.",
    MaterialKind.ADHESIVE: "A paste or glue that joins; water or warmth usually lets it go again.",
    MaterialKind.WATER: "Water, or something dissolved in it; it dries away.",
    MaterialKind.SOLVENT: "A liquid that dissolves what water does not; it evaporates.",
    MaterialKind.GEL: "A stiff jelly that gives off its liquid slowly, in one place.",
    MaterialKind.BOARD: "Stiff sheet of paper fibre, for mounts, folders and supports.",
    MaterialKind.TEXTILE: "Cloth or thread.",
    MaterialKind.FILM: "Clear or matt plastic sheet.",
    MaterialKind.METAL: "A metal part.",
    MaterialKind.TOOL: "A tool or an aid: nothing of it stays on the object.",
    MaterialKind.OTHER: "No plain words are on record for it.",
}
"""What each kind is, for the glossary of a report where the material says nothing of its own."""


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
    plain_words = models.TextField(
        "what it is, in plain words",
        blank=True,
        help_text="For somebody who reads the report in thirty years.",
    )
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


def _rating_of_its_kind() -> models.CheckConstraint:
    """An Oddy test is rated P, T or U; every other test is passed or failed."""
    fits = Q()
    for how, ratings in RATINGS.items():
        fits |= Q(how=how.value, rating__in=[rating.value for rating in ratings])
    return models.CheckConstraint(condition=fits, name="material_result_rating_of_its_kind")


class MaterialResult(AppendOnly):
    """One test of one batch: how, rating, coupons, day, and until when it counts."""

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="results")
    how = models.CharField("test", max_length=24, choices=choices(HowTested))
    rating = models.CharField(max_length=12, choices=choices(Rating))
    copper = models.CharField("copper coupon", max_length=120, blank=True)
    silver = models.CharField("silver coupon", max_length=120, blank=True)
    lead = models.CharField("lead coupon", max_length=120, blank=True)
    result = models.TextField("what was seen", blank=True)
    tested_on = models.DateField()
    valid_until = models.DateField("counts until")
    tested_by = models.CharField("who tested", max_length=160)
    sample_kept = models.CharField("where the sample is kept", max_length=160, blank=True)
    sheet = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["MaterialResult"].as_manager()

    class Meta:
        constraints = [
            one_of("how", HowTested, "material_result_how_known"),
            one_of("rating", Rating, "material_result_rating_known"),
            _rating_of_its_kind(),
            models.CheckConstraint(
                condition=Q(valid_until__gte=F("tested_on")), name="material_result_days_ordered"
            ),
            models.CheckConstraint(condition=~Q(tested_by=""), name="material_result_by_someone"),
            models.CheckConstraint(
                condition=~Q(how=HowTested.ODDY) | (~Q(copper="") & ~Q(silver="") & ~Q(lead="")),
                name="material_result_oddy_tells_coupons",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.how} of {self.material_id} (#{self.pk})"


def _one_cause() -> models.CheckConstraint:
    """A call-back names one cause, so that it can be answered and ended with it."""
    causes = ("material", "caution_rule", "house_rules")
    one = Q()
    for cause in causes:
        one |= Q(**{f"{name}__isnull": name != cause for name in causes})
    return models.CheckConstraint(condition=one, name="call_back_one_cause")


class CallBack(Kept):
    """An object to be looked at again on account of how it was treated.

    Its cause is one of three: a batch that touched it, a caution that the house words otherwise
    since, or a later version of the house rules.

    It is settled by a signed call-back report made after it was asked for, or ended with a reason.
    """

    call_back_no = models.CharField("call-back number", max_length=16, unique=True)
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="call_backs"
    )
    material = models.ForeignKey(
        Material, null=True, blank=True, on_delete=models.PROTECT, related_name="call_backs"
    )
    caution_rule = models.ForeignKey(
        "records.CautionRule",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="call_backs",
    )
    house_rules = models.ForeignKey(
        "records.HouseRules",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="call_backs",
    )
    reason = models.TextField()
    due_on = models.DateField()
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_why = models.TextField(blank=True)

    objects = KeptQuerySet["CallBack"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="call_back_says_why"),
            _one_cause(),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | (Q(ended_at__isnull=False, ended_by__isnull=False) & ~Q(ended_why="")),
                name="call_back_end_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.call_back_no

    @property
    def cause(self) -> str:
        """On account of what, in words; load the three with it."""
        if self.caution_rule is not None:
            return f"Caution changed, {self.caution_rule}"
        return f"Changed by {self.house_rules}" if self.house_rules else str(self.material)
