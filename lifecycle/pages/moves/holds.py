"""Place a hold on an object, decide on it, lift it."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.timezone import localtime

from lifecycle.actions.moves import decide_hold, lift_hold, place_hold
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, role_for_one_of
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.words import HoldKind
from lifecycle.queries.rights import about_object
from lifecycle.records.base import choices
from lifecycle.records.models import Hold, MuseumObject, Showing


class HoldForm(forms.Form):
    kind = forms.ChoiceField(label="Kind", choices=choices(HoldKind))
    reason = forms.CharField(
        label="Reason",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        help_text="What was seen or heard; everybody reads it.",
    )


class DecisionForm(forms.Form):
    decision = forms.CharField(
        label="Decision",
        widget=forms.Textarea(attrs={"rows": 4}),
        max_length=4000,
        help_text="The written decision, with its grounds.",
    )
    outcome = forms.ChoiceField(
        label="What follows",
        widget=forms.RadioSelect,
        choices=[
            ("lift", "The hold is lifted"),
            ("treat", "The hold stays; treatment may begin"),
            ("keep", "The hold stays"),
        ],
    )


def _showing_named(request: SignedInRequest, museum_object: MuseumObject) -> Showing | None:
    """The showing in the address, if it is one of this object; a strange one is left out."""
    try:
        uid = UUID(request.GET.get("showing", ""))
    except ValueError:
        return None
    return Showing.objects.filter(museum_object=museum_object, uid=uid).first()


@signed_in
def hold_new_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Stop an object, from its own page or from a showing's."""
    museum_object = get_object_or_404(MuseumObject, uid=uid)
    about = about_object(museum_object)
    role = request.role_for(Deed.REPORT_EVENT, about)
    request.role_for(Deed.SEE_SHOWING, about)
    showing = _showing_named(request, museum_object)
    form = HoldForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        place_hold(
            object_id=museum_object.pk,
            kind=HoldKind(data["kind"]),
            reason=data["reason"],
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
        )
        return f"{museum_object.object_number} is held until somebody lifts it with a decision."

    back = (
        reverse("showing", args=[showing.uid])
        if showing is not None
        else reverse("object", args=[museum_object.uid])
    )
    page = FormPage(
        title=f"Hold {museum_object.object_number} {museum_object.title}",
        submit="Hold it",
        back=back,
        lead="Everything but taking down, declining, withdrawing and emergencies waits.",
        draft=f"hold-{museum_object.uid}",
    )
    return answer_form(request, form, act, page)


@signed_in
def hold_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the decision on a hold, and lift it or not."""
    hold = get_object_or_404(
        Hold.objects.select_related("museum_object", "showing", "placed_by"), uid=uid
    )
    museum_object = hold.museum_object
    about = about_object(museum_object)
    role = role_for_one_of(request, (Deed.EXAMINE, Deed.OVERRIDE), about)
    form = DecisionForm(request.POST or None, initial={"decision": hold.decision})

    def act(data: dict[str, Any]) -> str:
        if data["outcome"] == "lift":
            lift_hold(
                hold_id=hold.pk,
                decision=data["decision"],
                by=request.person,
                role=role,
                at=request.at,
            )
            return f"The hold on {museum_object.object_number} is lifted."
        decide_hold(
            hold_id=hold.pk,
            decision=data["decision"],
            asks_treatment=data["outcome"] == "treat",
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"The decision on {museum_object.object_number} is written; the hold stays."

    back = (
        reverse("showing", args=[hold.showing.uid])
        if hold.showing is not None
        else reverse("object", args=[museum_object.uid])
    )
    page = FormPage(
        title=f"Decide on the hold of {museum_object.object_number}",
        submit="Write the decision",
        back=back,
        lead=(
            f"Held by {hold.placed_by.full_name} since {day_words(localtime(hold.placed_at))} "
            f"({hold.get_kind_display()}): {hold.reason}"
        ),
        draft=f"decide-{hold.uid}",
    )
    return answer_form(request, form, act, page)
