"""Forms of an object's card."""

from typing import Any

from django import forms

from lifecycle.actions.objects import Dimensions, FaceDetails, HazardDetails, ObjectDetails
from lifecycle.pages.fields import (
    ObjectNumberField,
    PlaceField,
    RowsField,
    day_field,
    many_boxes,
    reason_field,
)
from lifecycle.process.words import FaceKind, Hazard, HazardEvidence, Orientation, OwnerKind
from lifecycle.records.base import choices
from lifecycle.records.models import (
    Face,
    MeasuredState,
    MuseumObject,
    Organisation,
    OrganisationKind,
    Picture,
    SensitivityClass,
    Vocabulary,
    Word,
)

NOT_CHOSEN = "not chosen"


def words_of(vocabulary: Vocabulary) -> Any:
    """The words of a list that are still offered."""
    return Word.objects.filter(vocabulary=vocabulary, retired_on=None).order_by("label", "pk")


class ObjectForm(forms.Form):
    """An object's card."""

    object_number = forms.CharField(
        label="Object number", max_length=60, help_text="As it is marked on the object."
    )
    title = forms.CharField(label="Title", max_length=300)
    object_type = forms.ModelChoiceField(
        Word.objects.none(), label="Object type", empty_label=NOT_CHOSEN
    )
    maker = forms.CharField(label="Maker", max_length=200, required=False)
    date_text = forms.CharField(label="Date as catalogued", max_length=200, required=False)
    materials = RowsField(
        Word.objects.none(),
        label="Materials",
        required=False,
        widget=many_boxes(),
        help_text="Support, media, binder, coating, fastening.",
    )
    techniques = RowsField(
        Word.objects.none(), label="Techniques", required=False, widget=many_boxes()
    )
    owner_kind = forms.TypedChoiceField(
        label="Belongs to", choices=choices(OwnerKind), coerce=OwnerKind
    )
    lender = forms.ModelChoiceField(
        Organisation.objects.none(), label="Lender", required=False, empty_label="none"
    )
    marks = forms.CharField(label="Marks and inscriptions", max_length=300, required=False)
    weight_g = forms.IntegerField(label="Weight [g]", min_value=1, required=False)
    handling_cautions = forms.CharField(
        label="Handling cautions",
        max_length=240,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Printed on every sheet that travels with it: 240 letters at most.",
    )
    orientation_rule = forms.TypedChoiceField(
        label="Orientation", choices=choices(Orientation), coerce=Orientation
    )
    sensitivity_class = forms.ModelChoiceField(
        SensitivityClass.objects.none(),
        label="Sensitivity class",
        required=False,
        empty_label="not classed yet",
        help_text="Until it has one, no showing can be declared ready.",
    )
    class_basis = forms.CharField(
        label="What the class rests on",
        max_length=200,
        required=False,
        help_text="By material list, by test, by published category, or a cautious guess.",
    )
    light_passes_through = forms.BooleanField(
        label="Light passes through",
        required=False,
        help_text="Thin silk, glass plate: light on one face is charged to all faces.",
    )
    moisture_caution = forms.BooleanField(
        label="No moisture or solvent without asking",
        required=False,
        help_text="An ink or a medium that moisture could move.",
    )
    normal_location = PlaceField(label="Normal location", required=False)
    culturally_restricted = forms.CharField(
        label="Cultural restriction",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Who may see or handle it. Never on sheets for the public.",
    )
    source_community = forms.CharField(
        label="Source community asked before treatment",
        max_length=200,
        required=False,
        help_text=(
            "Where that was agreed: no treatment without their answer. Only a registrar or the "
            "head of collections takes one off again; what was sent to them before still waits "
            "for their answer."
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["object_type"].queryset = words_of(Vocabulary.OBJECT_TYPE)
        fields["materials"].queryset = words_of(Vocabulary.MATERIAL)
        fields["techniques"].queryset = words_of(Vocabulary.TECHNIQUE)
        fields["lender"].queryset = Organisation.objects.filter(
            kind=OrganisationKind.LENDER
        ).order_by("name")
        fields["sensitivity_class"].queryset = SensitivityClass.objects.order_by("label")
        fields["normal_location"].fill()

    def details(self) -> ObjectDetails:
        names = ObjectDetails.__dataclass_fields__
        return ObjectDetails(**{name: self.cleaned_data[name] for name in names})


class ObjectChangeForm(ObjectForm):
    """The card again, with the version it was read at and the reason."""

    why = reason_field("Why the card changes")
    version = forms.IntegerField(widget=forms.HiddenInput)


def initial_of(museum_object: MuseumObject) -> dict[str, Any]:
    """What stands on the card now."""
    row: dict[str, Any] = {
        name: getattr(museum_object, name)
        for name in ObjectDetails.__dataclass_fields__
        if name not in {"materials", "techniques", "normal_location"}
    }
    row["materials"] = list(museum_object.materials.all())
    row["techniques"] = list(museum_object.techniques.all())
    home = museum_object.normal_location
    row["normal_location"] = str(home.uid) if home else ""
    return row


class FaceForm(forms.Form):
    """One face."""

    kind = forms.TypedChoiceField(label="Kind of face", choices=choices(FaceKind), coerce=FaceKind)
    label = forms.CharField(
        label="Name of the face", max_length=80, help_text="“ff. 31v-32r”, “plate 5”, “front”."
    )
    landmark = forms.CharField(
        label="Landmark", max_length=120, help_text="What one sees at top left; the first words."
    )
    max_opening_angle = forms.IntegerField(
        label="Widest opening [°]", min_value=1, max_value=360, required=False
    )
    sensitivity_class = forms.ModelChoiceField(
        SensitivityClass.objects.none(),
        label="Sensitivity class of this face",
        required=False,
        empty_label="that of the object",
    )
    never_show = forms.BooleanField(label="Never show this face", required=False)
    never_show_reason = forms.CharField(
        label="Why it is never shown", max_length=200, required=False
    )
    thumbnail = forms.ModelChoiceField(
        Picture.objects.none(),
        label="Picture of the face, right way up",
        required=False,
        empty_label="none yet",
    )

    def __init__(self, *args: Any, museum_object: MuseumObject, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["sensitivity_class"].queryset = SensitivityClass.objects.order_by("label")
        fields["thumbnail"].queryset = museum_object.pictures.order_by("-entered_at", "pk")

    def details(self) -> FaceDetails:
        names = FaceDetails.__dataclass_fields__
        return FaceDetails(**{name: self.cleaned_data[name] for name in names})


class FaceChangeForm(FaceForm):
    """One face again, with the reason."""

    why = reason_field("Why the face changes")


def initial_of_face(face: Face) -> dict[str, Any]:
    return {name: getattr(face, name) for name in FaceDetails.__dataclass_fields__}


class HazardForm(forms.Form):
    """One hazard of an object."""

    hazard = forms.TypedChoiceField(label="Hazard", choices=choices(Hazard), coerce=Hazard)
    evidence = forms.TypedChoiceField(
        label="How it is known", choices=choices(HazardEvidence), coerce=HazardEvidence
    )
    found_on = day_field("Found on", required=False)
    protection = forms.CharField(
        label="Protective equipment",
        max_length=200,
        required=False,
        help_text="Follow local codes and the safety data sheet; this line only reminds.",
    )
    who_may_handle = forms.CharField(label="Who may handle it", max_length=200, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def details(self) -> HazardDetails:
        names = HazardDetails.__dataclass_fields__
        return HazardDetails(**{name: self.cleaned_data[name] for name in names})


class EndForm(forms.Form):
    """A reason, for what ends."""

    why = reason_field()


class DimensionsForm(forms.Form):
    """Height, width and depth in one state."""

    state = forms.TypedChoiceField(
        label="Measured", choices=choices(MeasuredState), coerce=MeasuredState
    )
    height_mm = forms.DecimalField(label="Height [mm]", max_digits=8, decimal_places=1)
    width_mm = forms.DecimalField(label="Width [mm]", max_digits=8, decimal_places=1)
    depth_mm = forms.DecimalField(
        label="Depth [mm]", max_digits=8, decimal_places=1, required=False
    )

    def size(self) -> Dimensions:
        names = Dimensions.__dataclass_fields__
        return Dimensions(**{name: self.cleaned_data[name] for name in names})


class ComponentForm(forms.Form):
    """One component."""

    label = forms.CharField(
        label="Component", max_length=80, help_text="Loose leaf, cover, case, string."
    )
    description = forms.CharField(label="Description", max_length=200, required=False)


class OtherNumberForm(forms.Form):
    """Another number of the object."""

    kind = forms.CharField(label="Whose number", max_length=60, help_text="Lender's, old ...")
    number = forms.CharField(label="Number", max_length=60)


class CompanionForm(forms.Form):
    """An object that belongs beside this one."""

    companion = ObjectNumberField(label="Companion's number or short code")
    reason = forms.CharField(label="Why they belong together", max_length=200)
