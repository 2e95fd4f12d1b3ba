"""Forms of an exhibition."""

from datetime import date
from typing import Any

from django import forms

from lifecycle.actions.exhibitions import Dates, ExhibitionDetails
from lifecycle.actions.exhibitions.facts import NEXT_STATES
from lifecycle.pages.fields import PlacesField, RowsField, day_field, reason_field
from lifecycle.process.stages import Role
from lifecycle.process.words import ExhibitionState, PlaceKind
from lifecycle.queries.places import place_paths
from lifecycle.records.models import Exhibition, LitTimetable, Person

WEEKDAYS = [
    (0, "Monday"),
    (1, "Tuesday"),
    (2, "Wednesday"),
    (3, "Thursday"),
    (4, "Friday"),
    (5, "Saturday"),
    (6, "Sunday"),
]


class DaysField(forms.CharField):
    """Several days, one a line, written the ISO way."""

    widget = forms.Textarea(attrs={"rows": 3})

    def clean(self, value: Any) -> list[date]:
        days = []
        for line in str(super().clean(value) or "").replace(",", "\n").split():
            try:
                days.append(date.fromisoformat(line))
            except ValueError:
                raise forms.ValidationError(
                    f"“{line}” is no day: write it as 2026-12-25, one a line."
                ) from None
        return days


class FactsForm(forms.Form):
    """What an exhibition is, beside its dates."""

    short = forms.CharField(label="Code", max_length=12, help_text="Short: “RBN26”.")
    title = forms.CharField(label="Title", max_length=300)
    manager = forms.ModelChoiceField(
        Person.objects.none(), label="Exhibition manager", required=False, empty_label="nobody yet"
    )
    curators = RowsField(
        Person.objects.none(),
        label="Curators",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="They may ask for objects, consent and approve in this exhibition.",
    )
    places = PlacesField(label="Rooms and cases", required=False)
    timetable = forms.ModelChoiceField(
        LitTimetable.objects.none(),
        label="Hours it is lit",
        required=False,
        empty_label="those of its places",
    )
    closed_weekdays = forms.TypedMultipleChoiceField(
        label="Closed on",
        choices=WEEKDAYS,
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    extra_closed_days = DaysField(
        label="Extra closed days", required=False, help_text="One a line: 2026-12-25."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        people = Person.objects.order_by("full_name", "pk")
        fields["manager"].queryset = people.filter(
            roles__role__in=[Role.EXHIBITION_MANAGER, Role.REGISTRAR]
        ).distinct()
        fields["curators"].queryset = people.filter(roles__role=Role.CURATOR).distinct()
        fields["timetable"].queryset = LitTimetable.objects.order_by("name")
        kinds = (PlaceKind.BUILDING, PlaceKind.ROOM, PlaceKind.CASE)
        fields["places"].fill(place_paths(kinds=kinds))

    def details(self) -> ExhibitionDetails:
        names = ExhibitionDetails.__dataclass_fields__
        return ExhibitionDetails(**{name: self.cleaned_data[name] for name in names})


class DatesForm(forms.Form):
    """The four dates."""

    install_from = day_field("Installation begins")
    opens = day_field("Opens")
    closes = day_field("Closes", help_text="The last day open.")
    deinstall_until = day_field("De-installing ends")

    def dates(self) -> Dates:
        return Dates(**{name: self.cleaned_data[name] for name in Dates.__dataclass_fields__})


class NewExhibitionForm(FactsForm, DatesForm):
    """Facts and dates together, for the first time."""

    field_order = ("short", "title", "install_from", "opens", "closes", "deinstall_until")


class FactsChangeForm(FactsForm):
    """The facts again, with the version they were read at and the reason."""

    why = reason_field("Why this changes")
    version = forms.IntegerField(widget=forms.HiddenInput)


class MoveDatesForm(DatesForm):
    """The dates again, with the reason that everyone concerned is told."""

    why = reason_field(
        "Why the dates move",
        "Told to everyone whose turn, install or showing moves with them, in the morning letter.",
    )


class StateForm(forms.Form):
    """The next state."""

    state = forms.TypedChoiceField(label="State", coerce=ExhibitionState, widget=forms.RadioSelect)
    why = forms.CharField(
        label="Why", required=False, max_length=500, help_text="Needed for a step back."
    )

    def __init__(self, *args: Any, now: ExhibitionState, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["state"].choices = [(one.value, one.label) for one in NEXT_STATES[now]]


def initial_of(exhibition: Exhibition) -> dict[str, Any]:
    """What stands on record now."""
    return {
        "short": exhibition.short,
        "title": exhibition.title,
        "manager": exhibition.manager,
        "curators": list(exhibition.curators.all()),
        "places": [str(place.uid) for place in exhibition.places.all()],
        "timetable": exhibition.timetable,
        "closed_weekdays": exhibition.closed_weekdays,
        "extra_closed_days": "\n".join(exhibition.extra_closed_days),
    }


def dates_of(exhibition: Exhibition) -> dict[str, date]:
    """The four dates as they are."""
    return {name: getattr(exhibition, name) for name in Dates.__dataclass_fields__}
