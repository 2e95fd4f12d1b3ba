"""A moment in a form: the wall clock of the museum, typed or picked, never a machine's zone."""

from datetime import datetime
from typing import Any

from django import forms

from lifecycle.queries.clock import museum_zone, on_the_clock


class MomentInput(forms.DateTimeInput):
    """The browser's own field for day and time."""

    input_type = "datetime-local"


class MomentField(forms.Field):
    """Day and time on the museum's clock; the value is an instant with its zone."""

    widget = MomentInput

    def to_python(self, value: Any) -> datetime | None:
        text = str(value or "").strip()
        if not text:
            return None
        try:
            wall = datetime.fromisoformat(text)
        except ValueError as fault:
            raise forms.ValidationError(
                "This is no day and time: write it as 2026-03-11T10:40."
            ) from fault
        try:
            return on_the_clock(wall, museum_zone())
        except ValueError as never:
            raise forms.ValidationError(str(never)) from never

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, datetime):
            return value.astimezone(museum_zone()).strftime("%Y-%m-%dT%H:%M")
        return value


def moment_field(label: str, *, required: bool = True, help_text: str = "") -> MomentField:
    """Day and time on the museum's clock."""
    return MomentField(label=label, required=required, help_text=help_text)
