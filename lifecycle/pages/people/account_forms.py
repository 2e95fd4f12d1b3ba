"""Forms of accounts: opening, one-time links, identities, leaving, coming back."""

from typing import Any

from django import forms
from django.conf import settings

from lifecycle.pages.fields import day_field, reason_field
from lifecycle.pages.people.forms import ROLES, PersonForm
from lifecycle.process.stages import Role
from lifecycle.queries.hand_over import HandOverGroup
from lifecycle.records.models import Person

BY_MAIL, IN_PERSON = "mail", "person"
HOW = [(BY_MAIL, "goes by mail"), (IN_PERSON, "is shown to me, to hand over in person")]


class HandOverLinkForm(forms.Form):
    """How the one-time link comes to the person."""

    how = forms.ChoiceField(
        label="The link",
        widget=forms.RadioSelect,
        choices=HOW,
    )

    def offer(self, person: Person) -> None:
        """Offer the mail only where there is one, and an address."""
        if not (settings.MAIL_READY and person.email):
            fields: dict[str, Any] = self.fields
            fields["how"].choices = fields["how"].choices[1:]
            fields["how"].initial = IN_PERSON
            why = "has no mail address on record" if settings.MAIL_READY else ""
            fields["how"].help_text = (
                f"{person.full_name} {why}." if why else "This house sends no mail."
            )


class AccountForm(HandOverLinkForm):
    """A name to sign in with; the password is chosen by its owner behind the link."""

    username = forms.CharField(
        label="Sign-in name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    field_order = ("username", "how")


class ColleagueForm(PersonForm):
    """Somebody new: who they are, what they do here, and how they sign in."""

    roles = forms.TypedMultipleChoiceField(
        label="Roles from today",
        choices=[(code, label) for code, label in ROLES if code != Role.ATTENDANT.value],
        coerce=Role,
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Several where one person does several things. Attendants, other days and "
        "deputies: on the person’s own page afterwards.",
    )
    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        required=False,
        help_text="Empty for who signs on paper only. The password is chosen by its owner, behind "
        "a link that works once.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    how = forms.ChoiceField(
        label="The link", widget=forms.RadioSelect, choices=HOW, initial=IN_PERSON, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not settings.MAIL_READY:
            del self.fields["how"]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("how") == BY_MAIL and data.get("username") and not data.get("email"):
            self.add_error("how", "Write the mail address that the link goes to.")
        return data


class LinkForm(HandOverLinkForm):
    """A new one-time link, with the reason."""

    drop_second_factor = forms.BooleanField(
        label="Take the second step off too", required=False, help_text="For a lost device."
    )
    why = reason_field()
    field_order = ("why", "drop_second_factor", "how")


class IdentityForm(forms.Form):
    """Who the person is at single sign-on."""

    identity = forms.CharField(
        label="Identity",
        max_length=255,
        required=False,
        help_text="The provider's own word for the person, called ‘sub’; the page that turns "
        "somebody away shows it. Empty unties.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    why = reason_field()


class LeavingForm(forms.Form):
    """The last day, or now; and whether the contact details go too."""

    ends_on = day_field("Last day", help_text="The last day on which this person may sign in.")
    at_once = forms.BooleanField(
        label="Close the account at once",
        required=False,
        help_text="Every session ends now, whatever the last day.",
    )
    drop_contact = forms.BooleanField(
        label="Drop the contact details",
        required=False,
        help_text="The mail address goes, in the history too. Name, roles and signatures stay.",
    )
    why = reason_field()


class BackForm(forms.Form):
    """Somebody comes back."""

    ends_on = day_field("New last day", required=False)
    why = reason_field()


class PassingOnForm(forms.Form):
    """Which things go to whom."""

    keys = forms.MultipleChoiceField(label="What is passed on")
    to = forms.ModelChoiceField(Person.objects.none(), label="To", empty_label="choose")
    passing_why = reason_field()

    def fill(self, person: Person, groups: list[HandOverGroup], people: Any) -> None:
        fields: dict[str, Any] = self.fields
        fields["keys"].choices = [
            (line.key, line.text) for group in groups for line in group.lines if line.key
        ]
        fields["to"].queryset = people.exclude(pk=person.pk)
