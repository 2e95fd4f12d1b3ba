"""Forms of the request, its answer, the override and the decline."""

from datetime import date
from typing import Any

from django import forms

from lifecycle.actions.display.requesting import AlternativeAsked, FaceAsked, Wish
from lifecycle.pages.fields import ObjectNumberField, PlaceField, day_field, many_boxes
from lifecycle.process.words import Answer, PlaceKind, Priority
from lifecycle.queries.places import place_paths
from lifecycle.records.base import choices
from lifecycle.records.models import (
    Exhibition,
    Face,
    Loan,
    MuseumObject,
    Vocabulary,
    Word,
)

MOST_FACES = 6
MOST_ALTERNATIVES = 3

#: Where an object can be wished to be shown: no store, bench or van.
SHOWN_IN = (PlaceKind.ROOM, PlaceKind.CASE, PlaceKind.POSITION)


class ObjectAskedForm(forms.Form):
    """The first step: which object."""

    museum_object = ObjectNumberField(
        label="Object number", help_text="As marked on the object, or the short code of its label."
    )


class RequestForm(forms.Form):
    """The second step: faces in order, days, reason, what could be shown instead."""

    reason = forms.CharField(
        label="Why this object, why this face", widget=forms.Textarea(attrs={"rows": 3})
    )
    priority = forms.TypedChoiceField(
        label="Priority", choices=choices(Priority), coerce=Priority, initial=Priority.IMPORTANT
    )
    show_from = day_field("First day on show")
    show_to = day_field("Last day on show")
    place = PlaceField(label="Position wished", required=False)
    support_idea = forms.CharField(label="Idea for the support", max_length=200, required=False)
    angle_idea = forms.IntegerField(
        label="Angle wished [°]", min_value=0, max_value=360, required=False
    )
    public_handling = forms.CharField(
        label="Handling by the public", max_length=200, required=False
    )
    events_and_filming = forms.CharField(
        label="Events and filming", max_length=200, required=False, help_text="Adds lit hours."
    )
    loan = forms.ModelChoiceField(
        Loan.objects.none(), to_field_name="uid", label="Under which loan", required=False
    )
    no_alternative_because = forms.CharField(
        label="Why nothing else will do", max_length=300, required=False
    )
    late_note = forms.CharField(label="Why it comes late", max_length=300, required=False)
    duplicates_seen = forms.BooleanField(
        label="I have seen the other bookings and ask all the same", required=False
    )

    def __init__(
        self,
        *args: Any,
        exhibition: Exhibition,
        museum_object: MuseumObject,
        asks_alternatives: bool = True,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.museum_object = museum_object
        self.asks_alternatives = asks_alternatives
        faces = Face.objects.filter(museum_object=museum_object).order_by("order", "pk")
        known = list(faces)
        for number in range(1, min(len(known), MOST_FACES) + 1):
            self.fields[f"face_{number}"] = forms.ModelChoiceField(
                faces,
                to_field_name="uid",
                label=f"Face {number}",
                required=number == 1,
                initial=known[0] if number == 1 else None,
                empty_label=None if number == 1 else "none",
            )
            self.fields[f"face_{number}_from"] = day_field(
                f"Face {number} from", required=False, help_text="Empty: the first day."
            )
            self.fields[f"face_{number}_to"] = day_field(
                f"Face {number} to", required=False, help_text="Empty: the last day."
            )
            self.fields[f"face_{number}_nice"] = forms.BooleanField(
                label=f"Face {number} is nice to have, no must", required=False
            )
        if not asks_alternatives:
            del self.fields["no_alternative_because"]
        for number in range(1, MOST_ALTERNATIVES + 1 if asks_alternatives else 1):
            self.fields[f"alternative_{number}"] = forms.CharField(
                label=f"Alternative {number}",
                max_length=300,
                required=False,
                help_text="An object number, a face of this object, or words.",
            )
        typed: dict[str, Any] = self.fields
        typed["loan"].queryset = Loan.objects.filter(lines__museum_object=museum_object).order_by(
            "agreement_no"
        )
        typed["place"].fill(place_paths(kinds=SHOWN_IN))
        self.initial.setdefault("show_from", exhibition.opens)
        self.initial.setdefault("show_to", exhibition.closes)
        self.order_fields(self._order())

    def _order(self) -> list[str]:
        faces = [name for name in self.fields if name.startswith("face_")]
        others = [name for name in self.fields if name.startswith("alternative_")]
        head = ["reason", "priority", "show_from", "show_to", *faces]
        last = ["no_alternative_because"] if self.asks_alternatives else []
        return [*head, *others, *last]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("show_from"), data.get("show_to")
        if first is None or last is None:
            return data
        data["faces"] = list(self._faces(data, first, last))
        data["alternatives"] = [
            self._alternative(text)
            for number in range(1, MOST_ALTERNATIVES + 1)
            if (text := str(data.get(f"alternative_{number}") or "").strip())
        ]
        return data

    def _faces(self, data: dict[str, Any], first: date, last: date) -> list[FaceAsked]:
        """Faces in the order of the form; one that names no days takes all of them."""
        named = [
            number for number in range(1, MOST_FACES + 1) if data.get(f"face_{number}") is not None
        ]
        return [
            FaceAsked(
                face=data[f"face_{number}"],
                from_on=data.get(f"face_{number}_from") or first,
                until_on=data.get(f"face_{number}_to") or last,
                must=not data.get(f"face_{number}_nice"),
            )
            for number in named
        ]

    def _alternative(self, text: str) -> AlternativeAsked:
        face = Face.objects.filter(museum_object=self.museum_object, label__iexact=text).first()
        if face is not None:
            return AlternativeAsked(face=face)
        thing = MuseumObject.objects.filter(object_number__iexact=text).first()
        return AlternativeAsked(museum_object=thing) if thing else AlternativeAsked(text=text)

    def wish(self) -> Wish:
        data = self.cleaned_data
        return Wish(
            faces=data.get("faces", []),
            alternatives=data.get("alternatives", []),
            **{
                name: data.get(name, "")
                for name in (
                    "reason",
                    "show_from",
                    "show_to",
                    "priority",
                    "no_alternative_because",
                    "place",
                    "support_idea",
                    "angle_idea",
                    "public_handling",
                    "events_and_filming",
                    "loan",
                    "late_note",
                    "duplicates_seen",
                )
            },
        )


def ground_choices() -> list[tuple[str, str]]:
    words = Word.objects.filter(vocabulary=Vocabulary.GROUND, retired_on=None)
    return list(words.order_by("label", "pk").values_list("code", "label"))


class AnswerForm(forms.Form):
    """The conservator's answer; its figures are computed and stored beside it."""

    answer = forms.TypedChoiceField(
        label="Answer", choices=choices(Answer), coerce=Answer, widget=forms.RadioSelect
    )
    because = forms.CharField(label="Because", widget=forms.Textarea(attrs={"rows": 3}))
    conditions = forms.CharField(
        label="Conditions", required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    earliest = day_field(
        "Not before", required=False, help_text="Empty: the day the light account gives."
    )
    grounds = forms.MultipleChoiceField(
        label="Grounds of a no",
        required=False,
        choices=[],
        widget=many_boxes(),
    )
    offered = forms.CharField(
        label="What is offered instead",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Another face or object, a facsimile, a shorter or dimmer showing.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["grounds"].choices = ground_choices()


NO_WORDS = [
    (word.value, word.label) for word in (Answer.NO, Answer.NO_UNTIL, Answer.FACSIMILE_ONLY)
]


class DeclineForm(AnswerForm):
    """A no that ends the showing."""

    answer = forms.TypedChoiceField(
        label="Answer",
        choices=NO_WORDS,
        coerce=Answer,
        initial=Answer.NO,
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["conditions"]


class OverrideForm(forms.Form):
    """A yes above the light account, by the head of collections."""

    answer = forms.TypedChoiceField(
        label="Answer",
        choices=[
            (word.value, word.label)
            for word in (Answer.YES_WITH_CONDITIONS, Answer.YES, Answer.AFTER_TREATMENT)
        ],
        coerce=Answer,
    )
    conditions = forms.CharField(
        label="Conditions", required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    reason = forms.CharField(
        label="Why it is shown all the same", widget=forms.Textarea(attrs={"rows": 3})
    )
