"""Forms of the look itself: findings, lights, what was not seen, pictures, advice."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from lifecycle.actions.condition.findings import Box, Sight
from lifecycle.pages.condition.choosing import (
    closed,
    fill_words,
    numbers,
    version_field,
    word_field,
)
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.fields import day_field
from lifecycle.process.days import day_words
from lifecycle.process.words import Activity, FeatureState, Layer, LightKind, Severity
from lifecycle.records.models import Picture, Vocabulary
from lifecycle.records.models.condition import ConditionReport, LightUsed, Observation, ReportFace
from lifecycle.records.models.condition.words import Advice, Zone

CLOCK = [("", "not stated"), *((str(hour), f"{hour} o’clock") for hour in range(1, 13))]
BOX = ("box_left", "box_top", "box_width", "box_height")


def _percent(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
    )


def _millimetres(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        max_digits=7,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
    )


class FindingForm(forms.Form):
    """One finding: its place by zone, by box on the picture, or by clock position."""

    face = forms.ModelChoiceField(
        ReportFace.objects.none(), to_field_name="uid", label="Face", empty_label=None
    )
    term = word_field("Term")
    state = forms.ChoiceField(
        label="Against the earlier report", choices=[(s.value, s.label) for s in FeatureState]
    )
    zone = forms.ChoiceField(
        label="Zone of the grid",
        required=False,
        choices=[("", "not stated"), *((z.value, str(z.label)) for z in Zone)],
        help_text="Rows A to C from the top, columns 1 to 3 from the left, as displayed.",
    )
    box_left = _percent("Box from left [%]")
    box_top = _percent("Box from top [%]")
    box_width = _percent("Box width [%]")
    box_height = _percent("Box height [%]")
    clock_position = forms.TypedChoiceField(
        label="Clock position",
        required=False,
        choices=CLOCK,
        coerce=int,
        empty_value=None,
        help_text="For solid things, seen from the front.",
    )
    severity = forms.TypedChoiceField(
        label="Severity", required=False, choices=numbers(Severity), coerce=int, empty_value=None
    )
    layer = forms.ChoiceField(label="Layer", required=False, choices=closed(Layer))
    activity = forms.ChoiceField(label="Activity", required=False, choices=closed(Activity))
    length_mm = _millimetres("Length [mm]")
    width_mm = _millimetres("Width [mm]")
    count = forms.IntegerField(label="How many", required=False, min_value=1)
    seen_in = forms.ModelChoiceField(
        LightUsed.objects.none(),
        to_field_name="uid",
        label="Seen in",
        required=False,
        empty_label="not stated",
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))
    picture = photo_field("Picture of the detail")
    version = version_field()
    field_order = (
        *("face", "term", "state", "severity", "zone", "length_mm", "width_mm", "count"),
        *("layer", "activity", "seen_in", "note", "picture", "clock_position", *BOX),
    )

    def fill(self, report: ConditionReport, on: date) -> None:
        """Offer the report's faces and lights and the museum's terms."""
        fields: dict[str, Any] = self.fields
        fields["face"].queryset = (
            report.report_faces.filter(dropped=False).select_related("face").order_by("face__order")
        )
        fields["face"].label_from_instance = lambda row: row.face.label
        fields["seen_in"].queryset = report.lights_used.filter(taken_back=False).order_by("number")
        fields["seen_in"].label_from_instance = lambda used: (
            f"{used.number}. {LightKind(used.light).label}"
        )
        fill_words(fields["term"], Vocabulary.CONDITION_TERM, on)

    def for_a_new_one(self) -> None:
        """A new finding is a first record: nothing to choose."""
        fields: dict[str, Any] = self.fields
        fields["state"].required = False
        fields["state"].widget = forms.HiddenInput()

    def for_a_known_one(self) -> None:
        """A known feature keeps its face; 'first record' is for new ones alone."""
        del self.fields["face"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = [name for name in BOX if data.get(name) is not None]
        if given and len(given) < len(BOX):
            self.add_error("box_left", "A box needs all four: left, top, width and height.")
        return data

    def sight(self, **more: Any) -> Sight:
        """What was typed, for the actions."""
        data = self.cleaned_data
        box = None
        if data["box_left"] is not None:
            box = Box(**{name.removeprefix("box_"): Decimal(data[name]) for name in BOX})
        return Sight(
            term=data["term"],
            state=FeatureState(data["state"] or FeatureState.FIRST_RECORD),
            layer=data["layer"],
            zone=data["zone"],
            box=box,
            clock_position=data["clock_position"],
            length_mm=data["length_mm"],
            width_mm=data["width_mm"],
            count=data["count"],
            severity=data["severity"],
            activity=data["activity"],
            seen_in=data["seen_in"],
            note=data["note"],
            **more,
        )


def sight_of(seen: Observation) -> dict[str, Any]:
    """Initial values of a known feature in this report."""
    same = (*BOX, "state", "zone", "clock_position", "severity", "layer", "activity")
    more = ("length_mm", "width_mm", "count", "note")
    return {
        **{name: getattr(seen, name) for name in (*same, *more)},
        "term": seen.term.uid,
        "seen_in": seen.seen_in.uid if seen.seen_in else None,
        "version": seen.revision,
    }


class LightForm(forms.Form):
    """One light the object was looked at in."""

    light = forms.ChoiceField(label="Light", choices=[(k.value, k.label) for k in LightKind])
    direction_clock = forms.TypedChoiceField(
        label="From which side",
        required=False,
        choices=CLOCK,
        coerce=int,
        empty_value=None,
        help_text="As a clock seen from the front; raking light needs it.",
    )
    instrument = forms.CharField(label="Lamp or instrument", required=False, max_length=120)
    magnification = forms.DecimalField(
        label="Magnified, times", required=False, max_digits=6, decimal_places=1
    )
    minutes = forms.DecimalField(
        label="Minutes",
        required=False,
        max_digits=6,
        decimal_places=1,
        help_text="UV and strong lamps are exposure; UV needs its minutes.",
    )
    lux = forms.IntegerField(label="Illuminance at the object [lx]", required=False, min_value=0)
    note = forms.CharField(label="Note", required=False, max_length=240)


class NotSeenForm(forms.Form):
    what = word_field("Not seen")
    note = forms.CharField(label="Which, and why", required=False, max_length=240)

    def fill(self, on: date) -> None:
        fill_words(self.fields["what"], Vocabulary.NOT_SEEN, on)


class FacePictureForm(forms.Form):
    """The picture that findings of a face are marked on."""

    picture = photo_field("A new picture of this face", help_text="JPEG, PNG, TIFF or WebP.")
    kept = forms.ModelChoiceField(
        Picture.objects.none(),
        to_field_name="uid",
        label="Or one that is kept already",
        required=False,
        empty_label="none",
    )
    light = forms.ChoiceField(
        label="Taken in", required=False, choices=closed(LightKind), initial=LightKind.DIFFUSE
    )
    scale_present = forms.BooleanField(label="A scale is in the picture", required=False)
    nothing_further = forms.BooleanField(label="Nothing further seen on this face", required=False)

    def fill(self, row: ReportFace) -> None:
        fields: dict[str, Any] = self.fields
        fields["kept"].queryset = row.face.pictures.order_by("-entered_at", "-pk")
        fields["kept"].label_from_instance = lambda kept: (
            f"{kept.name}, {day_words(kept.taken_at or kept.entered_at)}"
        )


class AdviceForm(forms.Form):
    about = forms.ChoiceField(label="About", choices=[(a.value, str(a.label)) for a in Advice])
    text = forms.CharField(label="Recommendation", widget=forms.Textarea(attrs={"rows": 3}))
    due_on = day_field("Wanted by", required=False)


class WhyForm(forms.Form):
    """A reason, for striking and taking back."""

    why = forms.CharField(label="Why", max_length=500)
