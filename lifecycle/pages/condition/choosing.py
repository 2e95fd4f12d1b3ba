"""Fields of the condition forms: words of the museum's lists, people, faces, places."""

from collections.abc import Iterable, Iterator
from datetime import date
from enum import IntEnum
from itertools import groupby
from typing import Any, Final

from django import forms
from django.db.models import Case, Exists, IntegerField, OuterRef, Q, When
from django.forms.models import ModelChoiceIterator
from django.utils.text import capfirst

from lifecycle.pages.fields import PlaceField
from lifecycle.process.stages import Role
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.models import Person, RoleAssignment, Vocabulary, Word
from lifecycle.records.models.condition import ConditionReport, ReportFace
from lifecycle.records.models.condition.words import Zone

Choices = list[tuple[str, str]]
_DRAWN: Final = ("sheet", "ink and paint")
#: Which groups of condition terms come first for an object of a type, by the codes of the lists a
#: museum starts with (common practice); its own groups and types follow in their order.
_TERMS_FIRST: Final[dict[str, tuple[str, ...]]] = {
    "bound-manuscript": ("book", *_DRAWN),
    "printed-book": ("book", "sheet"),
    "single-sheet": _DRAWN,
    "print": _DRAWN,
    "drawing": _DRAWN,
    "watercolour": _DRAWN,
    "pastel": ("ink and paint", "sheet"),
    "map": ("map", *_DRAWN),
    "photograph": ("photograph", "sheet"),
    "album": ("photograph", "book", "sheet"),
    "textile": ("textile", "ink and paint"),
    "instrument": ("instrument",),
    "specimen-sheet": ("specimen", "sheet"),
}
ZONES: Final[Choices] = [("", "not stated"), *((zone.value, str(zone.label)) for zone in Zone)]


def closed(words: Iterable[ClosedList], *, empty: str = "not stated") -> Choices:
    """Choices of a closed list, with an empty first one."""
    return [("", empty), *((word.value, capfirst(word.label)) for word in words)]


def numbers(words: Iterable[IntEnum]) -> Choices:
    return [
        ("", "not stated"),
        *((str(word.value), str(getattr(word, "label", word.name))) for word in words),
    ]


def word_field(label: str, *, required: bool = True, help_text: str = "") -> Any:
    """A word of one of the museum's own lists; filled by ``fill_words``."""
    return forms.ModelChoiceField(
        Word.objects.none(),
        to_field_name="uid",
        label=label,
        required=required,
        help_text=help_text,
        empty_label="choose a word" if required else "not stated",
    )


def fill_words(field: Any, vocabulary: Vocabulary, on: date) -> None:
    """Offer the words of a list that are in use on a day."""
    field.queryset = Word.objects.filter(
        Q(retired_on=None) | Q(retired_on__gt=on), vocabulary=vocabulary
    ).order_by("group", "label", "pk")
    field.iterator = _Grouped
    field.widget.choices = field.choices


def fill_terms(field: Any, report: ConditionReport, on: date) -> None:
    """Offer the condition terms in use on a day, those of the object's own kind first."""
    fill_words(field, Vocabulary.CONDITION_TERM, on)
    first = _TERMS_FIRST.get(report.museum_object.object_type.code, ())
    whens = [When(group=group, then=place) for place, group in enumerate(first)]
    rank = Case(*whens, default=len(first), output_field=IntegerField())
    field.queryset = field.queryset.annotate(rank=rank).order_by("rank", "group", "label", "pk")
    field.widget.choices = field.choices


class _Grouped(ModelChoiceIterator[Any]):
    """The words of a list under the headings of their groups, as the museum keeps them."""

    def __iter__(self) -> Iterator[Any]:
        if self.field.empty_label is not None:
            yield "", self.field.empty_label
        for group, words in groupby(self.queryset, key=lambda word: word.group):
            choices = [self.choice(word) for word in words]
            if group:
                yield group, choices
            else:
                yield from choices


def face_field() -> Any:
    """One of the faces that a report covers; filled by ``fill_faces``."""
    return forms.ModelChoiceField(
        ReportFace.objects.none(), to_field_name="uid", label="Face", empty_label=None
    )


def fill_faces(field: Any, report: ConditionReport) -> None:
    """Offer the faces that the report covers, by their names."""
    field.queryset = (
        report.report_faces.filter(dropped=False).select_related("face").order_by("face__order")
    )
    field.label_from_instance = lambda row: row.face.label


def people_in_post(on: date) -> Any:
    """People who hold a role, or a guest pass, on a day."""
    live = Q(roles__from_on__lte=on) & (Q(roles__until_on=None) | Q(roles__until_on__gte=on))
    passes = Q(passes__from_on__lte=on) & (Q(passes__until_on=None) | Q(passes__until_on__gte=on))
    able = Person.objects.filter(live | passes).values("pk")
    return Person.objects.filter(pk__in=able).order_by("full_name", "pk")


def examiners_in_post(on: date) -> Any:
    """The people in post, those who examine first."""
    examining = RoleAssignment.objects.filter(
        Q(until_on=None) | Q(until_on__gte=on),
        person=OuterRef("pk"),
        role=Role.CONSERVATOR,
        from_on__lte=on,
    )
    people = people_in_post(on).annotate(examines=Exists(examining))
    return people.order_by("-examines", "full_name", "pk")


def place_field(label: str, *, required: bool = False, help_text: str = "") -> PlaceField:
    return PlaceField(label=label, required=required, help_text=help_text)


def version_field() -> forms.IntegerField:
    """The version of the section that the writer began from; it guards against overwriting."""
    return forms.IntegerField(min_value=0, widget=forms.HiddenInput())
