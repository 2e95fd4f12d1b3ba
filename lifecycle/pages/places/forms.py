"""Forms of places and reading points."""

from typing import Any

from django import forms

from lifecycle.actions.places import HOLDERS, PlaceDetails
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.fields import PlaceField, reason_field
from lifecycle.process.words import PlaceKind
from lifecycle.queries.places import place_paths
from lifecycle.records.base import choices
from lifecycle.records.models import LitTimetable, Organisation, Place


class PlaceForm(forms.Form):
    """One place."""

    name = forms.CharField(label="Name", max_length=120, help_text="As people call it: “N4”.")
    kind = forms.TypedChoiceField(label="Kind", choices=choices(PlaceKind), coerce=PlaceKind)
    parent = PlaceField(
        label="Lies in",
        required=False,
        help_text="Site, building, room, case, position; or store, bay, shelf.",
    )
    timetable = forms.ModelChoiceField(
        LitTimetable.objects.none(),
        label="Hours it is lit",
        required=False,
        empty_label="those of the place it lies in",
    )
    public = forms.BooleanField(label="Open to visitors", required=False)
    organisation = forms.ModelChoiceField(
        Organisation.objects.none(),
        label="Whose place",
        required=False,
        empty_label="the museum's",
    )
    lock_note = forms.CharField(
        label="Note on the lock",
        max_length=200,
        required=False,
        help_text="Restricted; never on a gallery sheet.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["parent"].fill(place_paths(kinds=HOLDERS))
        fields["timetable"].queryset = LitTimetable.objects.order_by("name")
        fields["organisation"].queryset = Organisation.objects.order_by("name")

    def details(self) -> PlaceDetails:
        names = PlaceDetails.__dataclass_fields__
        return PlaceDetails(**{name: self.cleaned_data[name] for name in names})


class NewPlacesForm(PlaceForm):
    """One place, or several of a kind at once."""

    inside = forms.IntegerField(
        label="Positions or shelves inside each",
        min_value=0,
        max_value=60,
        required=False,
        help_text="Made at once and numbered from 1: positions in rooms and cases, shelves in "
        "stores and bays.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"] = forms.CharField(
            label="Name",
            widget=forms.Textarea(attrs={"rows": 2}),
            help_text="As people call it: “N4”. Several at once: “N1–N9”, or one a line.",
        )
        self.order_fields(["name", "kind", "parent", "inside"])


class PlaceChangeForm(PlaceForm):
    """One place again, with the reason."""

    why = reason_field("Why the place changes")


def initial_of(place: Place) -> dict[str, Any]:
    row = {name: getattr(place, name) for name in PlaceDetails.__dataclass_fields__}
    row["parent"] = str(place.parent.uid) if place.parent else ""
    return row


class PointForm(forms.Form):
    """A point where light is always read."""

    letter = forms.CharField(label="Letter", max_length=4, help_text="A, B, C …")
    label = forms.CharField(
        label="Where the sensor lies and faces",
        max_length=120,
        help_text="“Left third of the page, facing up”: the same every time.",
    )
    photo = photo_field(
        "Photograph of the point", help_text="Shows where the sensor lies; on the reading sheet."
    )


class PointPhotoForm(forms.Form):
    """The photograph of a point, new or again."""

    photo = photo_field("Photograph of the point", required=True)


class CloseForm(forms.Form):
    """A reason, for what closes or is retired."""

    why = reason_field()
