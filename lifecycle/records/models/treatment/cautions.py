"""Cautions at the bench: the house's own rules, and what a version or a step went on in spite of.

The rules that ship stand in the process; a row here takes the place of one of them or adds one.
"""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from lifecycle.process.bench_cautions import Basis, Brings, Trait
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
from lifecycle.records.models.treatment.proposals import ProposalVersion
from lifecycle.records.models.treatment.steps import TreatmentStep


class CautionRule(Kept):
    """What the house says where an object and a step meet; one row for each pair."""

    trait = models.CharField("what the object has", max_length=20, choices=choices(Trait))
    brings = models.CharField("what the step brings", max_length=16, choices=choices(Brings))
    text = models.TextField("warning")
    source = models.TextField()
    basis = models.CharField("how sure", max_length=10, choices=choices(Basis))
    asks = models.BooleanField("asks for a written reason", default=True)
    in_use = models.BooleanField(default=True)

    objects = KeptQuerySet["CautionRule"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["trait", "brings"], name="caution_rule_once_a_pair"),
            one_of("trait", Trait, "caution_rule_trait_known"),
            one_of("brings", Brings, "caution_rule_brings_known"),
            one_of("basis", Basis, "caution_rule_basis_known"),
            models.CheckConstraint(
                condition=~Q(text="") & ~Q(source=""), name="caution_rule_has_source"
            ),
        ]

    def __str__(self) -> str:
        return f"{Trait(self.trait).label} and {Brings(self.brings).label}"


class VersionCaution(Kept):
    """A caution a version raises, as it was worded then, and why it is proposed all the same."""

    frozen_with: ClassVar[str] = "version"

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="cautions")
    trait = models.CharField("what the object has", max_length=20, choices=choices(Trait))
    brings = models.CharField("what the step brings", max_length=16, choices=choices(Brings))
    warning = models.TextField()
    why = models.TextField("why I go on", blank=True)
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["VersionCaution"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "trait", "brings"], name="version_caution_once"
            ),
            one_of("trait", Trait, "version_caution_trait_known"),
            one_of("brings", Brings, "version_caution_brings_known"),
        ]

    def __str__(self) -> str:
        return f"caution of {self.version_id} (#{self.pk})"


class StepCaution(AppendOnly):
    """A caution a step was done in spite of, as it was worded then, and the reason given."""

    step = models.ForeignKey(TreatmentStep, on_delete=models.PROTECT, related_name="cautions")
    trait = models.CharField("what the object has", max_length=20, choices=choices(Trait))
    brings = models.CharField("what the step brings", max_length=16, choices=choices(Brings))
    warning = models.TextField()
    why = models.TextField("why I went on", blank=True)

    objects = AppendOnlyQuerySet["StepCaution"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["step", "trait", "brings"], name="step_caution_once"),
            one_of("trait", Trait, "step_caution_trait_known"),
            one_of("brings", Brings, "step_caution_brings_known"),
        ]

    def __str__(self) -> str:
        return f"caution of step {self.step_id} (#{self.pk})"


class SpotLiquid(ClosedList):
    """What a medium was tested with."""

    WATER = "water"
    WATER_AND_ALCOHOL = "water_and_alcohol"
    SOLVENT = "solvent"


class SpotOutcome(ClosedList):
    """What a medium did in a spot test."""

    NOTHING = "nothing"
    SOFTENED = "softened"
    OFFSET = "offset"
    RAN = "ran"

    @property
    def label(self) -> str:
        return {
            "nothing": "nothing moved",
            "softened": "softened, did not move",
            "offset": "colour on the blotter",
            "ran": "ran",
        }[self.value]


MOVED = frozenset({SpotOutcome.OFFSET, SpotOutcome.RAN})


class MediumTest(AppendOnly):
    """A spot test of a medium; its step says who, where, when and under which consent."""

    step = models.OneToOneField(TreatmentStep, on_delete=models.PROTECT, related_name="medium_test")
    medium = models.CharField(max_length=120, help_text="Which ink, colour or dye.")
    liquid = models.CharField("tested with", max_length=20, choices=choices(SpotLiquid))
    outcome = models.CharField(max_length=10, choices=choices(SpotOutcome))

    objects = AppendOnlyQuerySet["MediumTest"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(medium=""), name="medium_test_names_medium"),
            one_of("liquid", SpotLiquid, "medium_test_liquid_known"),
            one_of("outcome", SpotOutcome, "medium_test_outcome_known"),
        ]

    def __str__(self) -> str:
        return f"{self.medium}: {SpotOutcome(self.outcome).label}"
