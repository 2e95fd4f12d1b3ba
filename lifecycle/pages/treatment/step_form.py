"""The form of one step at the bench: what is always needed first, the rest folded by occasion."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django import forms

from lifecycle.actions.treatment import MediumTested, StepDone
from lifecycle.pages.fields import FilesField
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import (
    faces_of,
    materials_offered,
    offer_materials,
    words_of,
)
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.records.base import choices
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.treatment import (
    Material,
    SpotLiquid,
    SpotOutcome,
    TreatmentStep,
)
from lifecycle.records.models.words import Vocabulary, Word


def figure(label: str, **options: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=options.pop("required", False),
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
        **options,
    )


FIRST: Final = (
    "step",
    "material",
    "concentration",
    "minutes",
    "face",
    "result",
    "hours",
    "observed_at",
)
FOLDS: Final = (
    (
        "Amount, temperature, place, who",
        ("amount", "temperature_c", "area", "feature", "observed_by"),
    ),
    ("A reason to go on in spite of a caution", ("caution_reason",)),
    ("Something was removed", ("removed", "removed_where")),
    ("A spot test of a medium", ("medium", "liquid", "outcome")),
    ("Pictures", ("picture", "light")),
    ("Otherwise than consented", ("deviation", "deviation_why")),
    ("An emergency", ("emergency", "emergency_reason")),
)
_SILENT: Final = frozenset({"light"})


@dataclass(frozen=True, slots=True)
class Fold:
    """Fields that belong to one occasion."""

    label: str
    fields: list[forms.BoundField]

    @property
    def open(self) -> bool:
        """Whether something stands in one of them."""
        return any(
            field.errors or (field.value() and field.name not in _SILENT) for field in self.fields
        )


def conservators() -> Any:
    """The people who may have done a step."""
    return Person.objects.filter(roles__role=Role.CONSERVATOR).distinct().order_by("full_name")


class AtBenchForm(forms.Form):
    """When, where and by whom: what one step and a run of several have in common."""

    observed_at = moment_field("Done at")
    face = forms.ModelChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="Face",
        required=False,
        empty_label="the whole object",
    )
    area = forms.CharField(label="Area", max_length=160, required=False)
    observed_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Done by",
        required=False,
        empty_label="me",
    )
    caution_reason = prose(
        "Why I go on in spite of a caution",
        rows=2,
        help_text="Only where a caution above asks for it and the proposal gives no reason.",
    )

    def offer_places(self, museum_object: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["face"].queryset = faces_of(museum_object)
        fields["observed_by"].queryset = conservators()


class StepForm(AtBenchForm):
    """One step. Only step, result and hours must be filled."""

    step = forms.ModelChoiceField(Word.objects.none(), to_field_name="uid", label="Step")
    material = forms.ModelChoiceField(
        Material.objects.none(), to_field_name="uid", label="Material and batch", required=False
    )
    concentration = figure("Strength, %", max_digits=5, decimal_places=2)
    amount = forms.CharField(label="Amount", max_length=80, required=False)
    minutes = figure("Minutes", max_digits=7, decimal_places=1)
    temperature_c = figure("Temperature, °C", max_digits=5, decimal_places=1)
    feature = forms.ModelChoiceField(
        Feature.objects.none(), to_field_name="uid", label="Feature", required=False
    )
    result = prose("Result", required=True, help_text="What was seen; then what it means.")
    hours = figure("Hours", required=True, max_digits=5, decimal_places=2)
    removed = prose("What was removed", rows=2)
    removed_where = prose("Where it is kept", rows=2)
    medium = forms.CharField(
        label="Medium tested",
        max_length=120,
        required=False,
        help_text="Which ink, colour or dye, and where.",
    )
    liquid = forms.TypedChoiceField(
        label="Tested with",
        choices=[("", "nothing"), *choices(SpotLiquid)],
        coerce=SpotLiquid,
        empty_value=None,
        required=False,
    )
    outcome = forms.TypedChoiceField(
        label="What the medium did",
        choices=[("", "not said"), *choices(SpotOutcome)],
        coerce=SpotOutcome,
        empty_value=None,
        required=False,
        help_text="One that moved is warned of from now on.",
    )
    picture = FilesField(
        label="Pictures",
        required=False,
        help_text="Of the state during or after this step; several at once, in the same light.",
    )
    light = forms.TypedChoiceField(
        label="Light of the pictures",
        choices=choices(LightKind),
        coerce=LightKind,
        initial=LightKind.DIFFUSE,
    )
    emergency = forms.BooleanField(label="Emergency: it could not wait for consent", required=False)
    emergency_reason = prose(
        "Why it could not wait",
        rows=2,
        help_text="Curator and lender are told at once; the flag stays for ever.",
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if any(data.get(name) for name in ("medium", "liquid", "outcome")):
            for name in ("medium", "liquid", "outcome"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, "A spot test needs medium, liquid and what it did.")
        return data

    def first(self) -> list[forms.BoundField]:
        """What nearly every step needs; the rest is folded away below it."""
        return [self[name] for name in FIRST]

    def folds(self) -> list[Fold]:
        """The rest, by occasion; a fold with something in it, or something wrong, stands open."""
        return [
            Fold(label=label, fields=[self[name] for name in names if name in self.fields])
            for label, names in FOLDS
        ]

    def offer(
        self, museum_object: MuseumObject, at: datetime, wrong: TreatmentStep | None = None
    ) -> None:
        """Offer what is in use today, and what the line to be corrected was done with."""
        step, batch = (wrong.step, wrong.material) if wrong is not None else (None, None)
        fields: dict[str, Any] = self.fields
        fields["step"].queryset = words_of(Vocabulary.TREATMENT_STEP, step)
        offer_materials(fields["material"], materials_offered(at, batch), batch)
        self.offer_places(museum_object)
        features = Feature.objects.filter(museum_object=museum_object).select_related("term")
        fields["feature"].queryset = features.order_by("number")
        fields["feature"].label_from_instance = lambda one: f"F{one.number} {one.term.label}"


class ProposedStepForm(StepForm):
    """A step under a proposal may depart from it; then the clock stops."""

    deviation = forms.BooleanField(
        label="Deviation: otherwise than consented",
        required=False,
        help_text=(
            "A step of the proposal, done otherwise: nothing more is done under the proposal until "
            "it is agreed. A step that is not in it needs a new version."
        ),
    )
    deviation_why = prose("What was otherwise, and why", rows=2)


AGAIN: Final = ("concentration", "amount", "minutes", "temperature_c", "area", "result", "hours")


def like(step: TreatmentStep | None) -> dict[str, Any]:
    """What the form starts from when a step is done again."""
    if step is None:
        return {"hours": Decimal("0.25")}
    start: dict[str, Any] = {name: getattr(step, name) for name in AGAIN}
    rows = {
        "step": step.step,
        "material": step.material,
        "face": step.face,
        "feature": step.feature,
    }
    return start | {name: row.uid for name, row in rows.items() if row is not None}


WRITTEN: Final = (
    *AGAIN,
    "observed_at",
    "removed",
    "removed_where",
    "caution_reason",
    "deviation",
    "deviation_why",
    "emergency",
    "emergency_reason",
)


def as_written(step: TreatmentStep) -> dict[str, Any]:
    """What the form starts from when a step is written again: all that the line says."""
    start = like(step) | {name: getattr(step, name) for name in WRITTEN}
    start["observed_by"] = step.observed_by.uid
    test = getattr(step, "medium_test", None)
    if test is not None:
        start |= {"medium": test.medium, "liquid": test.liquid, "outcome": test.outcome}
    return start


def done_of(
    data: dict[str, Any], pictures: tuple[Picture, ...], corrects: TreatmentStep | None = None
) -> StepDone:
    """The step as the action takes it, from the cleaned form."""
    names = set(StepDone.__dataclass_fields__) - {"pictures", "corrects", "test"}
    said = {name: value for name, value in data.items() if name in names}
    test = None
    if data.get("medium"):
        test = MediumTested(medium=data["medium"], liquid=data["liquid"], outcome=data["outcome"])
    return StepDone(**said, test=test, pictures=pictures, corrects=corrects)
