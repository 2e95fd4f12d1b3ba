"""Forms of people, roles, deputies, passes and accounts."""

from typing import Any
from zoneinfo import available_timezones

from django import forms

from lifecycle.actions.people import PersonDetails
from lifecycle.pages.fields import ObjectNumbersField, PlacesField, day_field, reason_field
from lifecycle.process.stages import Role
from lifecycle.queries.places import public_places
from lifecycle.records.models import Organisation, Person

GUESTS = (Role.COURIER, Role.LENDER)
ROLES = [(role.value, role.label) for role in Role if role not in GUESTS]
GUEST_ROLES = [(role.value, role.label) for role in GUESTS]


def _people() -> Any:
    return Person.objects.order_by("full_name", "pk")


class PersonForm(forms.Form):
    """Who somebody is."""

    full_name = forms.CharField(
        label="Full name", max_length=200, help_text="Never only initials: it is read in 30 years."
    )
    organisation = forms.ModelChoiceField(
        Organisation.objects.none(), label="Organisation", required=False, empty_label="none"
    )
    email = forms.EmailField(
        label="Mail address", required=False, help_text="For the morning letter; removable."
    )
    ends_on = day_field(
        "Last day", required=False, help_text="The last day on which this person may sign in."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["organisation"].queryset = Organisation.objects.order_by("name")

    def details(self) -> PersonDetails:
        names = PersonDetails.__dataclass_fields__
        return PersonDetails(**{name: self.cleaned_data[name] for name in names})


class PersonChangeForm(PersonForm):
    """Who somebody is, again, with the reason."""

    why = reason_field()


class RoleForm(forms.Form):
    """A role from–to."""

    given = forms.TypedChoiceField(label="Role", choices=ROLES, coerce=Role)
    from_on = day_field("From")
    until_on = day_field("Until", required=False)
    galleries = PlacesField(
        label="Galleries", required=False, help_text="What an attendant walks; empty for others."
    )
    trained = forms.BooleanField(label="Trained to take light readings", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["galleries"].fill(public_places())


class EndOnForm(forms.Form):
    """A last day, with the reason."""

    until_on = day_field("Last day")
    why = reason_field()


class DeputyForm(forms.Form):
    """Who consents in somebody's stead."""

    deputy = forms.ModelChoiceField(Person.objects.none(), label="Deputy", empty_label="choose")
    deputy_role = forms.TypedChoiceField(label="In the role of", choices=ROLES, coerce=Role)
    from_on = day_field("From")
    until_on = day_field("Until")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["deputy"].queryset = _people()


class PassForm(forms.Form):
    """A guest pass."""

    given = forms.TypedChoiceField(label="As", choices=GUEST_ROLES, coerce=Role)
    organisation = forms.ModelChoiceField(
        Organisation.objects.none(), label="Organisation", empty_label="choose"
    )
    museum_objects = ObjectNumbersField(
        label="Objects", help_text="Their numbers, one a line; only these can be seen."
    )
    from_on = day_field("From")
    until_on = day_field("Until")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["organisation"].queryset = Organisation.objects.order_by("name")


class LetterForm(forms.Form):
    """When one's own morning letter comes."""

    letter_hour = forms.TypedChoiceField(
        label="Hour of the morning letter",
        required=False,
        empty_value=None,
        coerce=int,
        choices=[("", "no letter"), *((str(hour), f"{hour:02d}:00") for hour in range(24))],
    )
    zone = forms.ChoiceField(
        label="Time zone",
        required=False,
        choices=[("", "the museum's"), *((zone, zone) for zone in sorted(available_timezones()))],
    )
