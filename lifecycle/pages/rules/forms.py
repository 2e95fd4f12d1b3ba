"""The form of a new version of the house rules: its own settings, and one part for each class."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from django import forms

from lifecycle.actions.rules import ClassLimits, RulesDetails
from lifecycle.exchange.starting_rules import FigureSet, HouseSize, StartingLimits
from lifecycle.pages.fields import day_field
from lifecycle.process.ink import InkLevel
from lifecycle.process.stages import Role
from lifecycle.records.base import choices
from lifecycle.records.models import ClassRule, HouseRules, SensitivityClass
from lifecycle.records.models.rules import DAYS_SOURCE, SecondFactor

INK_LEVELS = [
    ("", "the house has no such rule"),
    *((str(level.value), level.label) for level in InkLevel if level is not InkLevel.GOOD),
]


class DaysOffField(forms.CharField):
    """Days off, one a line: the day as 2026-12-25, then what it is called."""

    widget = forms.Textarea(attrs={"rows": 6})

    def prepare_value(self, value: Any) -> Any:
        """Rows of a version as the lines they are written in; what was typed stays as it is."""
        if isinstance(value, str) or value is None:
            return value
        return "\n".join(f"{day} {name}".strip() for day, name in value)

    def clean(self, value: Any) -> tuple[tuple[str, str], ...]:
        """Return (day, name) in the order of the days; a line that is none is named."""
        found: dict[date, str] = {}
        faults = []
        for number, line in enumerate(str(super().clean(value) or "").splitlines(), start=1):
            if not line.strip():
                continue
            written, _, name = line.strip().partition(" ")
            try:
                day = date.fromisoformat(written)
            except ValueError:
                faults.append(f"Line {number}: “{written}” is no day; write it as 2026-12-25.")
                continue
            if day in found:
                faults.append(f"Line {number}: {written} stands there already.")
            found[day] = " ".join(name.split())[:80]
        if faults:
            raise forms.ValidationError(faults)
        return tuple((day.isoformat(), found[day]) for day in sorted(found))


class RulesForm(forms.Form):
    """What a version says beside the limits of the classes."""

    valid_from = day_field("Valid from", help_text="Today or later.")
    source = forms.CharField(
        label="Where the figures come from", widget=forms.Textarea(attrs={"rows": 3})
    )
    taking_over_until = day_field(
        "Taking-over period ends",
        required=False,
        help_text="Until this day exhibitions that run already may be taken over; empty: none.",
    )
    fresh_look_months = forms.IntegerField(
        label="A baseline needs a fresh look after [months]", min_value=1, max_value=120
    )
    consent_lapses_months = forms.IntegerField(
        label="A consent lapses after [months]", min_value=1, max_value=120
    )
    charge_lab_light_above_percent = forms.IntegerField(
        label="Charge examination and imaging light above [% of the allowance]",
        min_value=0,
        max_value=100,
    )
    travel_days = forms.IntegerField(
        label="Days kept free before and after a booking", min_value=0, max_value=60
    )
    facsimile_print_days = forms.IntegerField(
        label="Working days to print a facsimile",
        min_value=0,
        max_value=250,
        required=False,
        initial=15,
    )
    facsimile_proof_days = forms.IntegerField(
        label="Working days for its proof",
        min_value=0,
        max_value=250,
        required=False,
        initial=10,
        help_text="Its master picture is due so many working days before it is placed.",
    )
    second_reader_needed = forms.BooleanField(
        label="A report needs a second reader", required=False
    )
    between_readings_mean = forms.BooleanField(
        label="Between two readings the likely value is their mean",
        required=False,
        help_text="Otherwise the later value holds back to the earlier reading.",
    )
    second_factor = forms.TypedChoiceField(
        label="Second step when signing in",
        choices=choices(SecondFactor),
        coerce=SecondFactor,
        initial=SecondFactor.NOT_ASKED,
        required=False,
        empty_value=SecondFactor.NOT_ASKED,
        help_text="A code from the person's own telephone or code device, beside the password.",
    )
    second_factor_roles = forms.MultipleChoiceField(
        label="Roles that are asked for it",
        choices=[(role.value, role.label) for role in Role],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Only for “named roles”.",
    )
    second_factor_grace_days = forms.IntegerField(
        label="Days in which pages open before the second step is set up",
        min_value=0,
        max_value=60,
        required=False,
        initial=7,
    )
    single_sign_on_only = forms.BooleanField(
        label="Sign in through single sign-on alone",
        required=False,
        help_text="Passwords then open no door, except the steward's, so that a broken provider "
        "locks nobody out for ever. Without single sign-on in the settings this says nothing.",
    )
    ink_not_shown_from = forms.TypedChoiceField(
        label="Iron-gall ink is not displayed from level",
        choices=INK_LEVELS,
        coerce=int,
        empty_value=None,
        required=False,
        initial=4,
        help_text="The worst inked area rates its face.",
    )
    ink_sign_off_from = forms.TypedChoiceField(
        label="Moving iron-gall ink is signed off from level",
        choices=INK_LEVELS,
        coerce=int,
        empty_value=None,
        required=False,
        initial=3,
        help_text="By a conservator, by name, before it is moved.",
    )
    days_source = forms.CharField(
        label="Where the days come from by which things are needed",
        widget=forms.Textarea(attrs={"rows": 2}),
        initial=DAYS_SOURCE,
        required=False,
    )
    days_off = DaysOffField(
        label="Days on which the house does not work",
        required=False,
        help_text="One a line, as 2026-12-25 Christmas Day. Saturdays and Sundays need no line. "
        "What is needed on a day off is needed on the working day before it.",
    )
    notes = forms.CharField(label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def clean_days_source(self) -> str:
        return str(self.cleaned_data["days_source"]).strip() or DAYS_SOURCE

    def clean_second_factor_grace_days(self) -> int:
        days = self.cleaned_data["second_factor_grace_days"]
        return 7 if days is None else int(days)

    def clean_facsimile_print_days(self) -> int:
        days = self.cleaned_data["facsimile_print_days"]
        return 15 if days is None else int(days)

    def clean_facsimile_proof_days(self) -> int:
        days = self.cleaned_data["facsimile_proof_days"]
        return 10 if days is None else int(days)

    def details(self) -> RulesDetails:
        names = RulesDetails.__dataclass_fields__
        return RulesDetails(**{name: self.cleaned_data[name] for name in names})


RULES_START: dict[str, Any] = {
    "fresh_look_months": 6,
    "consent_lapses_months": 12,
    "charge_lab_light_above_percent": 1,
    "travel_days": 2,
    "facsimile_print_days": 15,
    "facsimile_proof_days": 10,
    "between_readings_mean": True,
    "ink_not_shown_from": 4,
    "ink_sign_off_from": 3,
    "days_source": DAYS_SOURCE,
}


class LimitsForm(forms.Form):
    """The limits of one class; left out as a whole when ``in_use`` is not ticked."""

    in_use = forms.BooleanField(label="This class has limits in this version", required=False)
    max_lux = forms.IntegerField(label="Highest illuminance [lx]", min_value=1, required=False)
    allowance_lx_h = forms.IntegerField(
        label="Allowance in the window [lx·h]", min_value=0, required=False
    )
    window_years = forms.IntegerField(
        label="Rolling window [years]", min_value=1, max_value=50, required=False
    )
    rest_months = forms.IntegerField(
        label="Rest between showings [months]", min_value=0, max_value=600, required=False
    )
    max_showing_weeks = forms.IntegerField(
        label="Longest showing [weeks]", min_value=1, max_value=520, required=False
    )
    max_uv = forms.IntegerField(label="Highest UV [µW/lm]", min_value=0, required=False)
    reading_every_days = forms.IntegerField(
        label="A light reading every [days]", min_value=1, max_value=366, required=False
    )
    look_every_days = forms.IntegerField(
        label="A look every [days]", min_value=1, max_value=366, required=False
    )
    turn_needed_above_percent = forms.IntegerField(
        label="Turn when a showing takes more than [% of the allowance]",
        min_value=0,
        max_value=100,
        required=False,
    )
    never_show = forms.BooleanField(label="Facsimile only", required=False)
    source = forms.CharField(
        label="Source of these figures", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    needed = (
        "max_lux",
        "allowance_lx_h",
        "window_years",
        "rest_months",
        "reading_every_days",
        "look_every_days",
        "turn_needed_above_percent",
        "source",
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("in_use"):
            for name in self.needed:
                if data.get(name) in (None, "") and name not in self.errors:
                    self.add_error(name, "This figure is needed for a class in use.")
        return data

    def limits(self, sensitivity_class: SensitivityClass) -> ClassLimits:
        names = [name for name in ClassLimits.__dataclass_fields__ if name != "sensitivity_class"]
        return ClassLimits(
            sensitivity_class=sensitivity_class,
            **{name: self.cleaned_data[name] for name in names},
        )


TAKING_OVER_DAYS = 91


def start_of_rules(rules: HouseRules | None, today: date) -> dict[str, Any]:
    """What the new version starts from: the last one, or plain beginnings.

    A museum that begins has its walls full: its first version opens the taking over for a quarter
    of a year, which the form shows and the museum may change.
    """
    if rules is None:
        until = today + timedelta(days=TAKING_OVER_DAYS)
        return {**RULES_START, "valid_from": today, "taking_over_until": until}
    return {
        name: getattr(rules, name)
        for name in RulesDetails.__dataclass_fields__
        if name != "valid_from"
    }


def limits_forms(
    classes: Sequence[SensitivityClass],
    copied: dict[int, ClassRule],
    data: Any,
    published: Mapping[str, StartingLimits] | None = None,
) -> list[tuple[SensitivityClass, LimitsForm]]:
    """Return one form for each class, filled from the version that is copied.

    ``published`` holds the limits of a starting set by the code of the class; they go first, in
    the order of the set.
    """
    forms_of = []
    rank = {code: place for place, code in enumerate(published or {})}
    for one in sorted(classes, key=lambda one: rank.get(one.code, len(rank))):
        row = (published or {}).get(one.code) or copied.get(one.pk)
        names = [name for name in LimitsForm.base_fields if name != "in_use"]
        start: dict[str, Any] = {"in_use": row is not None}
        if row is not None:
            start.update({name: getattr(row, name) for name in names})
        else:
            start.update(reading_every_days=28, look_every_days=14, turn_needed_above_percent=50)
        forms_of.append((one, LimitsForm(data, initial=start, prefix=one.code)))
    return forms_of


def start_of_set(figures: FigureSet | None, size: HouseSize | None) -> dict[str, Any]:
    """What a starting set says of the settings: its source in words, a figure or two."""
    start: dict[str, Any] = {}
    if figures is not None:
        start["source"] = figures.source
    if size is not None:
        start |= dict(size.settings)
    return start


class StartForm(forms.Form):
    """Which published figures, and how large the house."""

    figures = forms.ChoiceField(label="Published figures", widget=forms.RadioSelect)
    size = forms.ChoiceField(label="Size of the house", widget=forms.RadioSelect)

    def __init__(
        self, *args: Any, sets: Mapping[str, FigureSet], sizes: Mapping[str, HouseSize]
    ) -> None:
        super().__init__(*args)
        fields: dict[str, Any] = self.fields
        fields["figures"].choices = [(one.code, one.label) for one in sets.values()]
        fields["size"].choices = [(one.code, f"{one.label}: {one.lead}") for one in sizes.values()]


class ClassForm(forms.Form):
    """A sensitivity class."""

    label = forms.CharField(label="Name of the class", max_length=80)
    definition = forms.CharField(
        label="What belongs in it",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="In your own words: materials, how fast light harms them.",
    )
