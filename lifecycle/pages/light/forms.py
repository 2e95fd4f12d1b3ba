"""Forms of light: readings, events, air, looks, past showings, the asked span."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.validators import MinValueValidator

from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.pages.moments import moment_field
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.words import PlaceKind
from lifecycle.queries.places import place_paths
from lifecycle.queries.rights import place_chain, places_below
from lifecycle.records.models import Instrument, Place, ReadingPoint
from lifecycle.records.models.light import LAMP_STATE_LABELS, InstrumentKind

DECIMAL_KEYS = {"inputmode": "decimal", "autocomplete": "off"}
LUX_METERS = (InstrumentKind.LUX, InstrumentKind.LUX_AND_UV)
AIR_METERS = (InstrumentKind.THERMO_HYGROMETER, InstrumentKind.LOGGER)


def figure_field(
    label: str, *, required: bool = True, help_text: str = "", places: int = 1
) -> forms.DecimalField:
    """A figure typed on a big number pad; a comma serves as the decimal sign too."""
    return CommaDecimal(
        label=label,
        required=required,
        help_text=help_text,
        max_digits=12,
        decimal_places=places,
        widget=forms.TextInput(attrs=DECIMAL_KEYS),
        error_messages={"invalid": "Enter a number, such as 48.5."},
    )


def illuminance_field(label: str, *, help_text: str = "") -> forms.DecimalField:
    """Light to be reckoned with [lx], left empty for what is planned or read."""
    field = figure_field(label, required=False, help_text=help_text)
    field.validators.append(MinValueValidator(0, "Illuminance cannot be negative."))
    return field


class CommaDecimal(forms.DecimalField):
    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class ReadingForm(forms.Form):
    """One light reading; ``sure`` is asked for only when the value is odd."""

    lux = figure_field("Illuminance, lx")
    uv = figure_field("UV, µW/lm", required=False)
    point = forms.ModelChoiceField(
        ReadingPoint.objects.none(), label="Point", required=False, empty_label="not at a point"
    )
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), label="Meter", required=False, empty_label="choose"
    )
    lamp_state = forms.TypedChoiceField(
        label="Lamps",
        choices=[(state.value, label) for state, label in LAMP_STATE_LABELS.items()],
        coerce=LampState,
        initial=LampState.SHOW.value,
    )
    read_at = moment_field("Read at")
    note = forms.CharField(label="Note", max_length=200, required=False)
    sure = forms.BooleanField(
        label="I looked at the meter again: the value is right",
        required=False,
        widget=forms.HiddenInput(),
    )

    def __init__(self, *args: Any, place: Place, at: datetime, **kwargs: Any) -> None:
        kwargs["initial"] = {"read_at": at, **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        near = place_chain(place) | places_below([place.pk])
        points = ReadingPoint.objects.filter(place__in=near, retired_on=None, place__closed_on=None)
        fields["point"].queryset = points.select_related("place").order_by("letter", "pk")
        fields["point"].label_from_instance = lambda p: f"{p.letter}, {p.place.name}: {p.label}"
        meters = Instrument.objects.filter(kind__in=LUX_METERS, retired_on=None)
        fields["instrument"].queryset = meters.order_by("name", "serial")
        fields["instrument"].label_from_instance = instrument_words

    def needs_point_and_meter(self) -> None:
        """Say what a volunteer's reading needs to count, before it is kept without."""
        for name in ("point", "instrument"):
            self.fields[name].help_text = "Needed for your reading to count."

    def place_read(self, place: Place) -> Place:
        """Where the sensor lay: the place of the point when that lies inside ``place``."""
        point: ReadingPoint | None = self.cleaned_data["point"]
        if point is None or point.place_id not in places_below([place.pk]):
            return place
        return point.place

    def ask_again(self) -> None:
        """Show the question that an odd value is asked once."""
        self.fields["sure"].widget = forms.CheckboxInput()


def instrument_words(row: Instrument) -> str:
    due = "" if row.calibration_due is None else f", calibration due {row.calibration_due}"
    return f"{row.name or row.get_kind_display()} {row.serial}{due}"


class CorrectionForm(forms.Form):
    """A reading again, with the reason."""

    lux = figure_field("Illuminance as it should be, lx")
    uv = figure_field("UV as it should be, µW/lm", required=False)
    why = forms.CharField(label="Why it is corrected", max_length=200)


class ClimateForm(forms.Form):
    """Temperature and relative humidity from a dial or hand meter."""

    t_c = figure_field("Temperature, °C")
    rh = figure_field("Relative humidity, %")
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), label="Instrument", required=False, empty_label="the dial here"
    )
    read_at = moment_field("Read at")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, at: datetime, **kwargs: Any) -> None:
        kwargs["initial"] = {"read_at": at}
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        meters = Instrument.objects.filter(kind__in=AIR_METERS, retired_on=None)
        fields["instrument"].queryset = meters.order_by("name", "serial")
        fields["instrument"].label_from_instance = instrument_words


class EventForm(forms.Form):
    """When the light changed; what changed is the key that is pressed."""

    NOW, SINCE_READING, AT = "now", "since_reading", "at"
    when = forms.ChoiceField(
        label="When",
        widget=forms.RadioSelect,
        initial=NOW,
        choices=[
            (NOW, "just now"),
            (SINCE_READING, "some time since the last reading"),
            (AT, "at a time I know"),
        ],
    )
    from_at = moment_field("The time, if you know it", required=False)
    ticket = forms.CharField(label="Ticket of the technicians", max_length=60, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("when") == self.AT and not data.get("from_at") and "from_at" in data:
            self.add_error("from_at", "Enter the time, or choose 'some time since'.")
        return data


class LookForm(forms.Form):
    """What goes with a look; what was seen is the key that is pressed."""

    note = forms.CharField(label="Note", max_length=120, required=False)
    through_glass = forms.BooleanField(label="Seen through glass", required=False, initial=True)
    picture = forms.FileField(
        label="Photograph",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    looked_at = moment_field("Looked at")
    not_reached_because = forms.CharField(
        label="Not reached, because", max_length=120, required=False
    )

    def __init__(self, *args: Any, at: datetime, **kwargs: Any) -> None:
        kwargs["initial"] = {"looked_at": at}
        super().__init__(*args, **kwargs)


class AnswerForm(forms.Form):
    """What came of a flag."""

    text = forms.CharField(
        label="What was seen and done",
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="The walker finds it beside the look: “seen, dust on glass, cleaned”.",
    )


class PastLightForm(forms.Form):
    """A past showing from old files, as an estimate."""

    from_on = day_field("First day")
    until_on = day_field("Last day")
    low = figure_field("Dose at least, lx·h", places=2)
    likely = figure_field("Dose probably, lx·h", places=2)
    high = figure_field("Dose at most, lx·h", places=2)
    basis = forms.CharField(
        label="What it rests on", max_length=200, help_text="“50 to 80 lx, 7 h a day, 12 weeks”"
    )
    source = forms.CharField(
        label="Where that stands", max_length=200, help_text="“File note 1998”"
    )


class EntryCorrectionForm(forms.Form):
    """An entry again, with the reason."""

    low = figure_field("Dose at least, lx·h", places=2)
    likely = figure_field("Dose probably, lx·h", places=2)
    high = figure_field("Dose at most, lx·h", places=2)
    why = forms.CharField(label="Why it is corrected", max_length=200)


class SpanForm(forms.Form):
    """Any span, to the minute."""

    since = moment_field("From")
    until = moment_field("To")

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        since, until = data.get("since"), data.get("until")
        if since is not None and until is not None and until < since:
            self.add_error("until", "The span ends before it starts.")
        return data


class AskedForm(forms.Form):
    """A span one would like to show the face in."""

    first_day = day_field("From")
    days = forms.IntegerField(label="For how many days", min_value=1, max_value=3_660)
    place = PlaceField(label="Where", help_text="Its lit hours are taken.")
    lux = figure_field(
        "Planned light, lx", required=False, help_text="Empty: the most the house rule allows."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = (PlaceKind.ROOM, PlaceKind.CASE, PlaceKind.POSITION)
        fields: dict[str, Any] = self.fields
        fields["place"].fill(place_paths(kinds=kinds))
