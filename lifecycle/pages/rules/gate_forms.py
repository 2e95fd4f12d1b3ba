"""The part of the house rules that says which gates are taken and by when each is needed."""

from typing import Any

from django import forms

from lifecycle.actions.rules import MOST_DAYS
from lifecycle.pages.fields import reason_field
from lifecycle.process.offsets import OFFSETS
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.switches import SWITCHED, Switch
from lifecycle.queries.rules import GatesSaid

AS_RULES = "rules"


class GatesForm(forms.Form):
    """A tick for each gate that may be left out, and the days of the readiness."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for gate in Switch:
            self.fields[f"gate_{gate.value}"] = forms.BooleanField(
                label=SWITCHED[gate].label,
                required=False,
                initial=True,
                help_text=SWITCHED[gate].why,
            )
        for ready in READY_GATES:
            end = "closing" if ready.before_close else "install"
            self.fields[f"days_{ready.code}"] = forms.IntegerField(
                label=f"{ready.code} {ready.label} [days before {end}]",
                min_value=0,
                max_value=MOST_DAYS,
                initial=ready.days_before,
            )

        for one in OFFSETS:
            self.fields[f"days_{one.code}"] = forms.IntegerField(
                label=f"{one.label} [days before {one.before}]",
                min_value=0,
                max_value=MOST_DAYS,
                initial=one.days,
                required=False,
            )
        self.fields["working"] = forms.MultipleChoiceField(
            label="Counted in working days",
            choices=[
                *((gate.code, f"{gate.code} {gate.label}") for gate in READY_GATES),
                *((one.code, one.label) for one in OFFSETS),
            ],
            widget=forms.CheckboxSelectMultiple,
            required=False,
            initial=[one.code for one in OFFSETS if one.working],
        )

    @property
    def ticks(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("gate_")]

    @property
    def offsets(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("days_")]

    def off(self) -> list[str]:
        return [gate.value for gate in Switch if not self.cleaned_data[f"gate_{gate.value}"]]

    def days(self) -> dict[str, int]:
        codes = [ready.code for ready in READY_GATES] + [one.code for one in OFFSETS]
        said = {code: self.cleaned_data[f"days_{code}"] for code in codes}
        return {code: days for code, days in said.items() if days is not None}

    def working(self) -> list[str]:
        return [code for code in self.cleaned_data["working"] if code in self.days()]


def start_of_gates(said: GatesSaid) -> dict[str, Any]:
    """What the form starts from: the version that is copied, or a starting set."""
    start: dict[str, Any] = {f"gate_{gate.value}": gate not in said.off for gate in Switch}
    start |= {
        f"days_{ready.code}": said.days.get(ready.code, ready.days_before) for ready in READY_GATES
    }
    start |= {f"days_{one.code}": said.days.get(one.code, one.days) for one in OFFSETS}
    start["working"] = [
        *(code for code in said.working if code in said.days),
        *(one.code for one in OFFSETS if one.working and one.code not in said.days),
    ]
    return start


class DiffersForm(forms.Form):
    """One exhibition does otherwise than the house rules."""

    def __init__(self, *args: Any, house: GatesSaid, own: dict[str, bool], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for gate in Switch:
            by_rules = "off" if gate in house.off else "on"
            said = own.get(gate.value)
            self.fields[gate.value] = forms.ChoiceField(
                label=SWITCHED[gate].label,
                choices=[
                    (AS_RULES, f"as the house rules say: {by_rules}"),
                    ("on", "on in this exhibition"),
                    ("off", "off in this exhibition"),
                ],
                initial=AS_RULES if said is None else ("on" if said else "off"),
                help_text=SWITCHED[gate].why,
            )
        self.fields["why"] = reason_field("Why this exhibition does otherwise")

    def said(self) -> dict[str, bool | None]:
        meant = {AS_RULES: None, "on": True, "off": False}
        return {gate.value: meant[self.cleaned_data[gate.value]] for gate in Switch}
