"""Forms of signing, correcting, part A, part B, and the verdict on a change."""

from typing import Any

from django import forms

from lifecycle.actions.condition.sign import COUNTERSIGNING
from lifecycle.pages.condition.choosing import people_in_post
from lifecycle.pages.display.hands import password_field, photo_field
from lifecycle.pages.door import SignedInRequest
from lifecycle.pages.moments import moment_field
from lifecycle.process.words import SignCapacity
from lifecycle.queries.papers_out import sheets_read_back
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import ConditionReport, Incident, MuseumObject, Person, Print
from lifecycle.records.models.condition.words import AsPlaced, NextStep


class SignForm(forms.Form):
    """Sign here with the password again; or read back a sheet somebody else signed."""

    password = password_field(
        "Your password, to sign", required=False, help_text="It is asked again for each signature."
    )
    signed_on_paper_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Or: who signed on paper",
        required=False,
        empty_label="nobody",
        help_text="You read the sheet back; nobody types in their own paper signature.",
    )
    scan = forms.FileField(
        label="Scan of the signed sheet", required=False, help_text="PDF, JPEG or PNG."
    )
    sheet = forms.ModelChoiceField(
        Print.objects.none(),
        to_field_name="uid",
        label="Or the print that was read back",
        required=False,
        empty_label="none",
        help_text="Its scan is kept already: it shows this signature too.",
    )
    signed_at = moment_field("Date and time on the sheet", required=False)

    def fill(self, request: SignedInRequest, report: ConditionReport) -> None:
        fields: dict[str, Any] = self.fields
        fields["sheet"].queryset = sheets_read_back(report)
        fields["sheet"].label_from_instance = lambda row: row.print_no
        if not fields["sheet"].queryset:
            del fields["sheet"]
        fields["signed_on_paper_by"].queryset = people_in_post(museum_day(request.at)).exclude(
            pk=request.person.pk
        )


class CountersignForm(SignForm):
    """A second name under a signed report."""

    capacity = forms.ChoiceField(
        label="You sign as", choices=[(c.value, c.label) for c in COUNTERSIGNING]
    )
    field_order = ("capacity",)


class LeftUnsignedForm(forms.Form):
    """Somebody went away before signing."""

    person = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Who left", empty_label="choose a person"
    )
    capacity = forms.ChoiceField(
        label="Would have signed as",
        choices=[(c.value, c.label) for c in COUNTERSIGNING],
        initial=SignCapacity.COURIER,
    )
    left_at = moment_field("Left at")
    because = forms.CharField(
        label="Because", max_length=240, help_text="Train, closing time, another object."
    )

    def fill(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["person"].queryset = people_in_post(museum_day(request.at))


class CorrectForm(forms.Form):
    note = forms.CharField(
        label="What changes, and why",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="It stands on the new version for ever.",
    )


class AsFoundForm(forms.Form):
    """Part A. No grading is asked for."""

    as_placed = forms.ChoiceField(
        label="Position",
        choices=[(c.value, str(c.label)) for c in AsPlaced],
        widget=forms.RadioSelect,
    )
    as_placed_note = forms.CharField(label="How it lies now", required=False, max_length=240)
    dust = forms.CharField(label="Dust inside", required=False, max_length=240)
    insects = forms.IntegerField(label="Insects, or trap count", required=False, min_value=0)
    pests_note = forms.CharField(label="Note on pests", required=False, max_length=240)
    picture = photo_field("Photograph as found", help_text="Before anything is moved.")
    emergency = forms.BooleanField(
        label="Emergency: written after the object was out", required=False
    )


class BenchForm(forms.Form):
    """Part B: what follows from the look at the bench."""

    same_lights = forms.BooleanField(label="Same lights as the earlier report", required=False)
    lights_note = forms.CharField(label="Other lights, because", required=False, max_length=240)
    next_step = forms.ChoiceField(
        label="Next step", choices=[(c.value, str(c.label)) for c in NextStep]
    )
    lender_told_at = moment_field("Lender told at", required=False)
    lender_told_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Lender told by",
        required=False,
        empty_label="nobody",
    )

    def fill(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["lender_told_by"].queryset = people_in_post(museum_day(request.at))


class VerdictForm(forms.Form):
    """A person's answer to one change."""

    verdict = forms.CharField(
        label="Your conclusion",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="The interval is computed, the conclusion is yours. “Not known” counts.",
    )
    cause = forms.CharField(label="Cause, if known", required=False, max_length=500)
    incident_needed = forms.BooleanField(label="An incident belongs to it", required=False)
    incident = forms.ModelChoiceField(
        Incident.objects.none(),
        to_field_name="uid",
        label="Which incident",
        required=False,
        empty_label="not on record yet",
    )

    def fill(self, museum_object: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["incident"].queryset = Incident.objects.filter(
            lines__museum_object=museum_object
        ).order_by("-discovered_at", "-pk")


class AdviceAnswerForm(forms.Form):
    text = forms.CharField(label="How it was dealt with", widget=forms.Textarea(attrs={"rows": 3}))
