"""Forms of a proposal: its words, and rows of options, materials and steps."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.forms import formset_factory

from lifecycle.actions.treatment import (
    CautionAnswer,
    MaterialDraft,
    OptionDraft,
    StepDraft,
    VersionDraft,
)
from lifecycle.actions.treatment.sending import WANTED
from lifecycle.actions.treatment.weighing import raised_now
from lifecycle.pages.fields import FilesField, day_field
from lifecycle.pages.treatment.seeing import (
    faces_of,
    materials_offered,
    offer_materials,
    picture_label,
    pictures_of,
    report_label,
    words_of,
)
from lifecycle.process.bench_cautions import Brings, Trait
from lifecycle.process.words import LightKind
from lifecycle.queries.treatment.cautions import reasons_of
from lifecycle.queries.treatment.reading import options_of, reports_to_rest_on
from lifecycle.records.base import choices
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.treatment import (
    Aim,
    Material,
    Proposal,
    ProposalVersion,
    RemovedMatter,
    Undo,
)
from lifecycle.records.models.words import Vocabulary, Word


def prose(label: str, *, required: bool = False, help_text: str = "", rows: int = 3) -> Any:
    return forms.CharField(
        label=label,
        required=required,
        help_text=help_text,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": rows}),
    )


class VersionForm(forms.Form):
    """The words of a version; all may stay empty until it is sent."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    based_on = forms.ModelChoiceField(
        ConditionReport.objects.none(),
        to_field_name="uid",
        label="Based on the signed report",
        required=False,
    )
    aim = forms.TypedChoiceField(
        label="Aim", choices=[("", "choose"), *choices(Aim)], coerce=Aim, required=False
    )
    aim_text = prose("Aim in words")
    state_text = prose(
        "State, in a few sentences",
        help_text="What the report says, as far as this treatment is about it.",
    )
    pictures = forms.ModelMultipleChoiceField(
        Picture.objects.none(),
        to_field_name="uid",
        label="Pictures: one of the whole, up to three details",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Out of those of its reports and imaging jobs, the newest first.",
    )
    sent = FilesField(
        label="Send pictures with it",
        required=False,
        help_text="Several at once; with those chosen above, four at most.",
    )
    sent_face = forms.ModelChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="What they show",
        required=False,
        empty_label="the whole object",
    )
    sent_light = forms.TypedChoiceField(
        label="Light of the pictures sent",
        choices=choices(LightKind),
        coerce=LightKind,
        initial=LightKind.DIFFUSE,
        required=False,
        empty_value=LightKind.DIFFUSE,
    )
    why = prose("Why this option")
    tests_first = prose("Tests first: solubility, spot test, where")
    removed_matter = forms.TypedChoiceField(
        label="Old repairs, labels and the like",
        choices=choices(RemovedMatter),
        coerce=RemovedMatter,
    )
    removed_where = prose("Where removed matter is kept", rows=2)
    effect_on_display = prose("Effect on display", help_text="Opens more, needs another mount …")
    stop_rules = prose("What would make me stop and ask again")
    hours_est = forms.DecimalField(
        label="Estimated hours", min_value=0, max_digits=6, decimal_places=2, required=False
    )
    start_not_before = day_field("Not to start before", required=False)
    finish_by = day_field("To be finished by", required=False)

    def __init__(self, *args: Any, proposal: Proposal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["based_on"].queryset = reports_to_rest_on(proposal)
        fields["based_on"].label_from_instance = report_label
        fields["pictures"].queryset = pictures_of(proposal.museum_object)
        fields["pictures"].label_from_instance = picture_label
        fields["sent_face"].queryset = faces_of(proposal.museum_object)
        for name in WANTED:
            fields[name].wanted = "sent"


class CautionsForm(forms.Form):
    """A reason for each caution that the saved steps and materials raise."""

    def __init__(self, data: Any, version: ProposalVersion, at: datetime) -> None:
        super().__init__(data)
        said = reasons_of(version)
        self.keys: dict[str, tuple[Trait, Brings]] = {}
        for one in raised_now(version, at):
            trait, brings = one.rule.key
            name = f"caution-{trait.value}-{brings.value}"
            self.keys[name] = one.rule.key
            self.fields[name] = forms.CharField(
                label=one.sentence,
                required=False,
                max_length=20_000,
                initial=said.get((trait.value, brings.value), ""),
                help_text=(
                    "Why you propose it all the same."
                    if one.rule.asks
                    else "No reason is asked for; write one if you like."
                ),
                widget=forms.Textarea(attrs={"rows": 2}),
            )
            fields: dict[str, Any] = self.fields
            fields[name].wanted = "sent" if one.rule.asks else ""

    def answers(self) -> tuple[CautionAnswer, ...]:
        return tuple(
            CautionAnswer(trait=trait, brings=brings, why=self.cleaned_data[name])
            for name, (trait, brings) in self.keys.items()
        )


class RowForm(forms.Form):
    """A row that may be left out as a whole, so that no field says of itself that it may."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        for field in fields.values():
            field.unsaid = True


class OptionForm(RowForm):
    """One option; a row without words is left out."""

    do_nothing = forms.BooleanField(required=False, widget=forms.HiddenInput)
    what = forms.CharField(
        label="What", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    gain = forms.CharField(label="Gain", required=False, max_length=2000)
    risk = forms.CharField(label="Risk", required=False, max_length=2000)
    undo = forms.TypedChoiceField(
        label="Can it be undone",
        choices=[("", "choose"), *choices(Undo)],
        coerce=Undo,
        required=False,
        help_text="If the chosen one can’t, the head of collections has to consent too.",
    )
    hours = forms.DecimalField(
        label="Hours", min_value=0, max_digits=6, decimal_places=2, required=False
    )
    cost = forms.CharField(label="Cost", required=False, max_length=80)
    chosen = forms.BooleanField(label="This one is chosen", required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("what", "").strip() and not data.get("undo"):
            self.add_error("undo", "Say of this option whether it can be undone.")
        return data


class MaterialRowForm(RowForm):
    material = forms.ModelChoiceField(
        Material.objects.none(), to_field_name="uid", label="Material", required=False
    )
    concentration = forms.DecimalField(
        label="Strength, %",
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        required=False,
    )
    solvent = forms.CharField(label="In what", required=False, max_length=80)

    def __init__(self, *args: Any, offered: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_materials(self.fields["material"], offered)


class StepRowForm(RowForm):
    step = forms.ModelChoiceField(
        Word.objects.none(), to_field_name="uid", label="Step", required=False
    )
    face = forms.ModelChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="Face",
        required=False,
        empty_label="every face",
    )
    area = forms.CharField(label="Area", required=False, max_length=160)
    limits = forms.CharField(label="Limits", required=False, max_length=2000)

    def __init__(self, *args: Any, museum_object: MuseumObject, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["step"].queryset = words_of(Vocabulary.TREATMENT_STEP)
        fields["face"].queryset = faces_of(museum_object)


# Two empty rows stand ready each time; saving brings the next two. No script is needed.
OptionRows = formset_factory(OptionForm, extra=2, max_num=12, validate_max=True)
MaterialRows = formset_factory(MaterialRowForm, extra=2, max_num=30, validate_max=True)
StepRows = formset_factory(StepRowForm, extra=2, max_num=40, validate_max=True)


class WholeVersionForm:
    """The form of a version with its three sets of rows, filled from what is saved."""

    def __init__(
        self,
        data: Any,
        proposal: Proposal,
        version: ProposalVersion,
        at: datetime,
        files: Any = None,
    ) -> None:
        self.form = VersionForm(data, files, proposal=proposal, initial=_initial(version))
        # A sent row that equals a saved one would pass for an empty row: what is sent stands alone.
        saved = data is None
        options = _options(version) if saved else None
        self.options: Any = OptionRows(data, prefix="options", initial=options)
        materials = _materials(version) if saved else None
        self.materials: Any = MaterialRows(
            data,
            prefix="materials",
            initial=materials,
            form_kwargs={"offered": materials_offered(at)},
        )
        self.steps: Any = StepRows(
            data,
            prefix="steps",
            initial=_steps(version) if saved else None,
            form_kwargs={"museum_object": proposal.museum_object},
        )

        self.cautions = CautionsForm(data, version, at)

    def is_valid(self) -> bool:
        parts = (self.form, self.options, self.materials, self.steps, self.cautions)
        # Every part is asked, so that all faults stand beside their fields at once.
        said = [part.is_valid() for part in parts]
        return all(said)

    def draft(self, sent: Sequence[Picture] = ()) -> VersionDraft:
        """What the form says; ``sent`` are the pictures that came with it, already kept."""
        beside = ("version", "sent", "sent_face", "sent_light")
        said = {k: v for k, v in self.form.cleaned_data.items() if k not in beside}
        said["aim"] = said["aim"] or None
        said["pictures"] = [*said["pictures"], *sent]
        options = [row for row in self.options.cleaned_data if row.get("what", "").strip()]
        materials = [row for row in self.materials.cleaned_data if row.get("material")]
        steps = [row for row in self.steps.cleaned_data if row.get("step")]
        return VersionDraft(
            **said,
            options=tuple(OptionDraft(**row) for row in options),
            materials=tuple(MaterialDraft(**row) for row in materials),
            steps=tuple(StepDraft(**row) for row in steps),
            cautions=self.cautions.answers(),
        )


def _initial(version: ProposalVersion) -> dict[str, Any]:
    plain = (
        "aim",
        "aim_text",
        "state_text",
        "why",
        "tests_first",
        "removed_matter",
        "removed_where",
        "effect_on_display",
        "stop_rules",
        "hours_est",
        "start_not_before",
        "finish_by",
    )
    said = {name: getattr(version, name) for name in plain}
    return said | {
        "version": version.edition,
        "based_on": version.based_on.uid if version.based_on else None,
        "pictures": [row.picture.uid for row in version.pictures.filter(left_out=False)],
    }


def _options(version: ProposalVersion) -> list[dict[str, Any]]:
    names = ("do_nothing", "what", "gain", "risk", "undo", "hours", "cost", "chosen")
    return [{name: getattr(row, name) for name in names} for row in options_of(version)]


def _materials(version: ProposalVersion) -> list[dict[str, Any]]:
    return [
        {"material": row.material.uid, "concentration": row.concentration, "solvent": row.solvent}
        for row in version.materials.all()
    ]


def _steps(version: ProposalVersion) -> list[dict[str, Any]]:
    return [
        {
            "step": row.step.uid,
            "face": row.face.uid if row.face else None,
            "area": row.area,
            "limits": row.limits,
        }
        for row in version.steps.all()
    ]
