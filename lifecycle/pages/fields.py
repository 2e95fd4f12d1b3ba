"""Fields our forms share: an object by its number or code, a place by its path, a person."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Any, Final
from uuid import UUID

from django import forms

from lifecycle.queries.find import code_hit
from lifecycle.queries.places import place_paths
from lifecycle.records.base import choices
from lifecycle.records.models import MuseumObject, Place

LONGEST_NUMBER: Final = 18
"""Digits that a row's number may have in the database."""


class ObjectNumberField(forms.CharField):
    """An object by its number as marked, or by the short code of its label."""

    widget = forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"})

    def clean(self, value: Any) -> MuseumObject | None:
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        found = MuseumObject.objects.filter(object_number__iexact=text).first()
        if found is None and (hit := code_hit(text)) and hit.table == "museumobject":
            found = MuseumObject.objects.filter(uid=hit.uid).first()
        if found is None:
            raise forms.ValidationError(f"No object has the number or code “{text}”.")
        return found


class ObjectNumbersField(forms.CharField):
    """Several objects, one number a line."""

    widget = forms.Textarea(attrs={"rows": 4, "spellcheck": "false"})

    def clean(self, value: Any) -> list[MuseumObject]:
        text = str(super().clean(value) or "")
        numbers = [line.strip() for line in text.replace(",", "\n").splitlines() if line.strip()]
        found = {
            one.object_number.lower(): one
            for one in MuseumObject.objects.filter(object_number__in=numbers)
        }
        missing = [number for number in numbers if number.lower() not in found]
        if missing:
            raise forms.ValidationError(f"No object has the number {', '.join(missing)}.")
        return list(found.values())


class PlaceField(forms.TypedChoiceField):
    """A place chosen by its whole path; the value is the place's uid."""

    def __init__(self, **options: Any) -> None:
        super().__init__(coerce=lambda uid: Place.objects.get(uid=uid), empty_value=None, **options)

    def fill(
        self,
        paths: Iterable[tuple[UUID, str]] | None = None,
        *,
        likely: Iterable[Place] = (),
    ) -> None:
        """Read the places; called when a form is made, so that the list is of today.

        :param likely: places one would think of first; they stand on top, in this order
        """
        rows = [(str(uid), path) for uid, path in (place_paths() if paths is None else paths)]
        paths_of = dict(rows)
        first = [str(place.uid) for place in likely if str(place.uid) in paths_of]
        empty = ("", "choose a place" if self.required else "none")
        if not first:
            self.choices = [empty, *rows]
            return
        others = [(uid, path) for uid, path in rows if uid not in first]
        self.choices = [
            empty,
            ("Likely", [(uid, paths_of[uid]) for uid in first]),
            ("All other places", others),
        ]


def many_boxes() -> forms.CheckboxSelectMultiple:
    """Boxes for a list of ten and more words: side by side as far as there is room."""
    return forms.CheckboxSelectMultiple(attrs={"class": "in-columns"})


class PlacesField(forms.TypedMultipleChoiceField):
    """Several places, each by its whole path."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **options: Any) -> None:
        super().__init__(coerce=lambda uid: Place.objects.get(uid=uid), empty_value=[], **options)

    def fill(self, paths: Iterable[tuple[UUID, str]] | None = None) -> None:
        """Read the places; called when a form is made, so that the list is of today."""
        rows = place_paths() if paths is None else paths
        self.choices = [(str(uid), path) for uid, path in rows]


class RowsField(forms.ModelMultipleChoiceField[Any]):
    """Several rows by their numbers; a number longer than any is no choice, like any other."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if len(str(one)) > LONGEST_NUMBER:
                raise forms.ValidationError(
                    self.error_messages["invalid_choice"],
                    code="invalid_choice",
                    params={"value": one},
                )
        return super().clean(value)


class DayInput(forms.DateInput):
    """The browser's own day field; the value is always written the ISO way."""

    input_type = "date"

    def __init__(self, attrs: Mapping[str, Any] | None = None) -> None:
        super().__init__(attrs=dict(attrs or {}), format="%Y-%m-%d")


def day_field(label: str, *, required: bool = True, help_text: str = "") -> forms.DateField:
    """A day, typed or picked."""
    return forms.DateField(
        label=label,
        required=required,
        help_text=help_text,
        widget=DayInput(),
        error_messages={"invalid": "This is no day: write it as 2026-12-14."},
    )


def reason_field(label: str = "Why", help_text: str = "") -> forms.CharField:
    """The reason a change is kept with."""
    return forms.CharField(
        label=label,
        max_length=500,
        help_text=help_text or "Stays in the record's history beside your name and role.",
    )


def word_field(*, label: str, words: type[StrEnum]) -> forms.TypedChoiceField:
    """One word of a closed list, or none: what must be said the action asks for in words."""
    return forms.TypedChoiceField(
        label=label,
        choices=[("", "choose"), *choices(words)],
        coerce=words,
        empty_value=None,
        required=False,
    )


class _Several(forms.ClearableFileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Several files at once; cleaned to a list, empty when none came."""

    widget = _Several

    def clean(self, data: Any, initial: Any = None) -> Any:
        given = data if isinstance(data, list | tuple) else [data]
        return [super(FilesField, self).clean(one, initial) for one in given if one]
