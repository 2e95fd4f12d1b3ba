"""Forms of a movement: plan, hand over, receive, confirm, call off."""

from collections.abc import Sequence
from typing import Any

from django import forms

from lifecycle.pages.display.hands import password_field
from lifecycle.pages.door import SignedInRequest
from lifecycle.pages.fields import ObjectNumbersField, PlaceField, day_field
from lifecycle.pages.moments import moment_field
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.movements import methods_for
from lifecycle.queries.places import place_paths
from lifecycle.queries.rights import museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import (
    Movement,
    MuseumObject,
    Person,
    Place,
    RemovalCard,
    Vocabulary,
    Word,
)
from lifecycle.records.models.movements import ArrivalProof, StateOnArrival


class MovementForm(forms.Form):
    """What goes from where to where, why, how, by whom."""

    objects = ObjectNumbersField(label="Objects", help_text="One object number a line.")
    from_place = PlaceField(label="From")
    to_place = PlaceField(label="To")
    reason = forms.ModelChoiceField(Word.objects.none(), to_field_name="code", label="Reason")
    planned_for = moment_field("Planned for", required=False)
    expected_back_on = day_field("Expected back on", required=False)
    carried_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Carried by", required=False
    )
    method = forms.ModelChoiceField(
        Word.objects.none(),
        to_field_name="code",
        label="Method",
        required=False,
        help_text="Ways that an object's hazards rule out are not offered.",
    )
    people_needed = forms.IntegerField(label="People needed", min_value=1, max_value=20, initial=1)
    route_remarks = forms.CharField(
        label="Remarks on the route",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="No lift, pallet or door left to chance.",
    )

    def fill(
        self,
        request: SignedInRequest,
        known: Sequence[MuseumObject],
        likely: Sequence[Place] = (),
    ) -> None:
        """Offer places (likely ones first), reasons, people, and the ways these objects allow."""
        fields: dict[str, Any] = self.fields
        paths = place_paths()
        fields["from_place"].fill(paths, likely=likely)
        fields["to_place"].fill(paths, likely=likely)
        fields["reason"].queryset = Word.objects.filter(
            vocabulary=Vocabulary.MOVE_REASON, retired_on=None
        ).order_by("label", "pk")
        allowed = [word.pk for word in methods_for(known)]
        fields["method"].queryset = Word.objects.filter(pk__in=allowed).order_by("label", "pk")
        able = [p.pk for p in people_with_hands(museum_day(request.at))]
        fields["carried_by"].queryset = Person.objects.filter(pk__in=able).order_by(
            "full_name", "pk"
        )


class HandOverForm(forms.Form):
    """The one who releases signs."""

    left_at = moment_field("Left at")
    carried_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Carried by", required=False
    )
    password = password_field("Your password, to sign")

    def fill(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        able = [p.pk for p in people_with_hands(museum_day(request.at))]
        fields["carried_by"].queryset = Person.objects.filter(pk__in=able).order_by(
            "full_name", "pk"
        )


class CodesForm(forms.Form):
    """Codes read on the spot: the place, each object or its box, the cards in the gap."""

    place_code = forms.CharField(
        label="Code of the place", required=False, help_text="Scan or type it where you stand."
    )
    object_codes = forms.CharField(
        label="Codes of the objects or boxes",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "spellcheck": "false"}),
        help_text="One a line.",
    )

    def ask_cards(self, cards: Sequence[RemovalCard]) -> None:
        """Ask for the number of every card that lies where the objects come back to."""
        for card in cards:
            self.fields[f"card_{card.museum_object_id}"] = forms.CharField(
                label=f"Removal card of {card.museum_object.object_number}",
                required=False,
                max_length=120,
                help_text="Lift it and type its number; 'lost: why' if it is gone.",
            )

    def card_numbers(self) -> dict[int, str]:
        return {
            int(name.removeprefix("card_")): str(value)
            for name, value in self.cleaned_data.items()
            if name.startswith("card_")
        }

    def codes(self) -> list[str]:
        text = str(self.cleaned_data.get("object_codes") or "")
        return [line.strip() for line in text.replace(",", "\n").splitlines() if line.strip()]


class ReceiveForm(CodesForm):
    """The one who receives signs; with the codes the arrival is confirmed at once."""

    arrived_at = moment_field("Arrived at")
    state = forms.TypedChoiceField(
        label="State on arrival", choices=choices(StateOnArrival), coerce=StateOnArrival
    )
    note = forms.CharField(label="Note", required=False, max_length=500)
    password = password_field("Your password, to sign")

    field_order = ("arrived_at", "state", "note", "place_code", "object_codes")


class ConfirmForm(CodesForm):
    """How the arrival was seen."""

    how = forms.TypedChoiceField(
        label="Confirmed by", choices=choices(ArrivalProof), coerce=ArrivalProof
    )
    field_order = ("how", "place_code", "object_codes")


class CallOffForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=500)


def lowest_place(things: Sequence[MuseumObject]) -> Place | None:
    """The place all of these lie in, if it is one and the same."""
    places = {thing.current_location_id: thing.current_location for thing in things}
    return next(iter(places.values())) if len(places) == 1 else None


def cards_waiting(movement: Movement, ids: Sequence[int]) -> list[RemovalCard]:
    return list(
        RemovalCard.objects.filter(museum_object__in=ids, place=movement.to_place, lifted_at=None)
        .select_related("museum_object")
        .order_by("pk")
    )
