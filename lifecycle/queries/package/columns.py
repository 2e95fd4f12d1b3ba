"""The columns of a kind of record: label, meaning, unit, type and allowed words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from django.db import models

from lifecycle.process.moves import MOVES
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.stages import Role
from lifecycle.queries.package.closed_words import meanings_of
from lifecycle.queries.package.kinds import NOT_PACKED, KindOfRecord, Model, called
from lifecycle.queries.package.left_out import ELSEWHERE, Columns
from lifecycle.queries.package.units import WEEKDAYS, unit_of

_UNIT_IN_LABEL: Final = re.compile(r"\s*(\[[^\]]*\]|\((mm)\)|, ?(mm|kg|ppi|lx·h|lx|°C|°|%|µW/lm))$")
#: Labels where a column's own name says too little without its neighbours.
LABELS: Final = {
    "at": "when",
    "by": "done by",
    "role": "in the role of",
    "uid": "lasting mark",
    "for_person": "as deputy for",
    "person_1": "first person",
    "person_2": "second person",
    "t_c": "temperature",
    "t_min_c": "temperature, lowest allowed",
    "t_max_c": "temperature, highest allowed",
    "rh": "relative humidity",
    "rh_min": "relative humidity, lowest allowed",
    "rh_max": "relative humidity, highest allowed",
    "rh_change_1h": "change of relative humidity in 1 hour, at most",
    "rh_change_24h": "change of relative humidity in 24 hours, at most",
    "case_t_c": "temperature in the case",
    "case_rh": "relative humidity in the case",
    "light_low_lx_h": "light so far, low",
    "light_likely_lx_h": "light so far, likely",
    "light_high_lx_h": "light so far, high",
    "uv": "ultraviolet",
    "uv_after": "ultraviolet after the turn",
    "mime": "file format",
    "sha256": "SHA-256 of the file",
    "nth": "which return of this paper",
    "written_by_name": "name of who wrote on the paper",
}
#: What a column holds, where neither its label nor its help says it.
MEANINGS: Final = {
    "uid": "A mark that this record alone has and keeps for ever; other files point to it.",
    "code": "Seven letters printed on papers and labels that lead back to this record.",
    "digest": "SHA-256 of the words that were signed, or that were printed.",
    "version": "A signed record is never changed; a correction is a new version.",
    "edition": "How often this record was saved.",
    "revision": "How often this part was saved.",
    "entered_at": "When it was typed in, which may be later than it was seen.",
    "entered_by": "Who typed it in.",
    "observed_at": "When it was seen or done in the world.",
    "observed_by": "Who saw or did it.",
    "struck_at": "When the record was struck as made in error; it stays readable.",
    "struck": "Whether the record was struck as made in error; it stays readable.",
    "taken_back": "Whether it was taken back before signing; it stays readable.",
    "left_out": "Whether it was taken out of the version before it was sent.",
    "dropped": "Whether it was dropped; it stays readable.",
    "corrects": "The earlier record that this one puts right; both stay readable.",
    "record_uid": "The lasting mark of the record that was signed or printed.",
    "record_kind": "Which kind of record was signed or printed.",
    "signed_at": "When the first signature froze the words.",
}
_ROLES: Final[Mapping[str, str]] = {role.value: role.label for role in Role}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column. ``words`` are the allowed words by their code, ``means`` their definitions."""

    name: str
    key: str
    label: str
    unit: str
    type: str
    meaning: str
    words: Mapping[str, str]
    means: Mapping[str, str]
    target: Model | None = None
    many: bool = False

    @property
    def header(self) -> str:
        return f"{self.label} ({self.unit})" if self.unit else self.label


@cache
def all_columns(model: Model) -> tuple[Column, ...]:
    """Return every column of a table that a package could tell."""
    fields = [*model._meta.fields, *model._meta.many_to_many]
    return tuple(
        _column(model, field)
        for field in fields
        if not field.primary_key and field.name not in ELSEWHERE and _packed(field)
    )


def columns_of(kind: KindOfRecord, hidden: Columns) -> tuple[Column, ...]:
    """Return the columns of a kind that a package tells."""
    name = kind.model.__name__
    return tuple(one for one in all_columns(kind.model) if (name, one.name) not in hidden)


def _packed(field: Any) -> bool:
    target = field.related_model
    return not (isinstance(target, type) and target.__name__ in NOT_PACKED)


def label_of(field: Any) -> str:
    """Return the label of a column without its unit, in capitals only where the trade has them."""
    if field.name in LABELS:
        return LABELS[field.name]
    label = _UNIT_IN_LABEL.sub("", str(field.verbose_name))
    return f"{label.removesuffix(' no')} number" if label.endswith(" no") else label


def _column(model: Model, field: Any) -> Column:
    name = model.__name__
    words = coded_words(name, field)
    means = meanings_of(words) if words else {}
    number = isinstance(field, models.IntegerField | models.DecimalField | models.FloatField)
    unit = unit_of(name, field.name) if number and not words else ""
    return Column(
        name=field.name,
        key=getattr(field, "attname", field.name),
        label=label_of(field),
        unit=unit,
        type=_type(field, words),
        meaning=_meaning(model, field),
        words=words,
        means=means,
        target=field.related_model if field.is_relation else None,
        many=bool(field.many_to_many),
    )


def coded_words(model: str, field: Any) -> Mapping[str, str]:
    """Return the word for each code that a column may hold; empty for a column of free text."""
    if field.choices:
        return {str(code): str(label) for code, label in field.choices if code not in (None, "")}
    if field.name == "move" and model == "JournalEntry":
        return {name: move.label for name, move in MOVES.items()}
    if field.name == "gate" and model == "GateDays":
        return {gate.code: gate.label for gate in READY_GATES}
    if field.name in ("weekday", "closed_weekdays"):
        return {str(number): day for number, day in enumerate(WEEKDAYS)}
    is_role = field.name == "role" or field.name.endswith("_role")
    return _ROLES if is_role else {}


def _type(field: Any, words: Mapping[str, str]) -> str:
    if field.many_to_many:
        return f"names from the table of {_names(field)}, parted by semicolons"
    if field.is_relation:
        return f"a name from the table of {_names(field)}"
    if words:
        return "one of the allowed words" if field.name != "closed_weekdays" else "weekdays"
    for kinds, said in _TYPES:
        if isinstance(field, kinds):
            return said
    return "text"


def _names(field: Any) -> str:
    return called(field.related_model)[1]


_TYPES: Final[tuple[tuple[Any, str], ...]] = (
    (models.BooleanField, "yes or no"),
    (models.DateTimeField, "moment in Coordinated Universal Time: year-month-day, T, time, Z"),
    (models.DateField, "day: year-month-day"),
    (models.TimeField, "time of day: hour:minute"),
    (models.DecimalField, "number, with a decimal point"),
    (models.FloatField, "number, with a decimal point"),
    (models.IntegerField, "whole number"),
    (models.UUIDField, "lasting mark"),
    (models.JSONField, "several values as JSON (RFC 8259)"),
)


def _meaning(model: Model, field: Any) -> str:
    if field.help_text:
        return str(field.help_text)
    if field.name in MEANINGS:
        return MEANINGS[field.name]
    what = f"the {called(model)[0]}"
    label = label_of(field)
    if isinstance(field, models.BooleanField):
        return f"Whether this is so of {what}: {label}."
    if field.is_relation:
        return f"What {what} names as: {label}."
    return f"{label[:1].upper()}{label[1:]}, as written for {what}."
