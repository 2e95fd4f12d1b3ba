"""Forms of the colour spots."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from lifecycle.pages.moments import moment_field
from lifecycle.records.base import choices
from lifecycle.records.models import Instrument
from lifecycle.records.models.colour import Geometry, Illuminant, Observer
from lifecycle.records.models.light import InstrumentKind


class SpotForm(forms.Form):
    """Where a spot lies, and how the template finds it again."""

    what = forms.CharField(label="What is read", max_length=120, help_text="Which colour, of what.")
    template = forms.CharField(
        label="Template",
        max_length=240,
        help_text="What it is, and which edges or corners of the object it is held to.",
    )
    box_left = forms.DecimalField(label="From left [%]", min_value=0, max_value=100)
    box_top = forms.DecimalField(label="From top [%]", min_value=0, max_value=100)


class MeasureForm(forms.Form):
    """One visit: settings, and the repeats one a line."""

    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), to_field_name="uid", label="Instrument"
    )
    geometry = forms.TypedChoiceField(label="Geometry", coerce=Geometry, choices=choices(Geometry))
    aperture_mm = forms.DecimalField(label="Aperture [mm]", max_digits=4, decimal_places=1)
    illuminant = forms.TypedChoiceField(
        label="Illuminant", coerce=Illuminant, choices=choices(Illuminant)
    )
    observer = forms.TypedChoiceField(
        label="Observer", coerce=Observer, choices=choices(Observer), initial=Observer.TEN
    )
    measured_at = moment_field("Measured at")
    readings = forms.CharField(
        label="Readings, one a line",
        widget=forms.Textarea(attrs={"rows": 5, "spellcheck": "false"}),
        help_text="L* a* b* with blanks or semicolons between. Three to five, the instrument "
        "lifted and laid on again each time.",
    )
    stated_repeatability = forms.DecimalField(
        label="Repeatability the instrument’s papers state",
        required=False,
        max_digits=5,
        decimal_places=3,
        help_text="As CIEDE2000.",
    )
    note = forms.CharField(label="Note", required=False, max_length=240)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["instrument"].queryset = Instrument.objects.filter(
            kind=InstrumentKind.COLOUR, retired_on=None
        ).order_by("name", "pk")

    def clean_readings(self) -> list[tuple[Decimal, Decimal, Decimal]]:
        found = []
        for number, line in enumerate(self.cleaned_data["readings"].splitlines(), start=1):
            if not line.strip():
                continue
            parts = line.replace(";", " ").replace("\t", " ").split()
            try:
                light, green_red, blue_yellow = (Decimal(one.replace(",", ".")) for one in parts)
            except (ValueError, InvalidOperation) as bad:
                raise forms.ValidationError(
                    f"Line {number}: “{line.strip()}” is not three figures, L* a* b*."
                ) from bad
            found.append((light, green_red, blue_yellow))
        return found


class FileForm(forms.Form):
    """A file of readings; its text stays here, to be mended, when it can't be taken."""

    file = forms.FileField(label="File of readings", required=False, help_text="CSV or XLSX.")
    text = forms.CharField(
        label="Or its text",
        required=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text="A CSV that could not be taken stands here, to be mended line by line.",
    )

    def given(self) -> tuple[bytes, str]:
        """The bytes of the file, or of the text that was mended, and their name."""
        sent = self.cleaned_data["file"]
        if sent is None:
            return self.cleaned_data["text"].encode(), "readings.csv"
        data: bytes = sent.read()
        try:
            words = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            words = ""
        before: Any = self.data
        posted = before.copy()
        posted["text"] = "" if "\x00" in words else words
        self.data = posted
        return data, sent.name


class WhyForm(forms.Form):
    why = forms.CharField(label="Why", max_length=240)
