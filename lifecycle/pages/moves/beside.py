"""Two small forms of a showing: its planned position, and that it may stand alone."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.showings import let_stand_alone, plan_place
from lifecycle.pages.display.seeing import called, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import PlaceField
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.process.rights import Deed
from lifecycle.queries.light.ceilings import case_with
from lifecycle.queries.rights import about_showing


class PlaceForm(forms.Form):
    place = PlaceField(label="Position", help_text="A position in a case, or a whole case.")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        field = self.fields["place"]
        if isinstance(field, PlaceField):
            field.fill()


class AloneForm(forms.Form):
    note = forms.CharField(
        label="Why it may stand alone", max_length=300, widget=forms.Textarea(attrs={"rows": 3})
    )


@signed_in
def plan_place_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Name the position a showing is planned for."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.SCHEDULE, about_showing(showing))
    initial = {"place": str(showing.place.uid)} if showing.place else {}
    form = PlaceForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        plan_place(
            showing_id=showing.pk,
            place=data["place"],
            by=request.person,
            role=role,
            at=request.at,
        )
        for warning in case_with(showing, data["place"], request.at).warnings:
            messages.warning(request, warning)
        return f"{showing.museum_object.object_number} is planned for {data['place'].name}."

    page = FormPage(
        title=f"Plan the position: {called(showing)}",
        submit="Plan it",
        back=reverse("showing", args=[showing.uid]),
    )
    return answer_form(request, form, act, page)


@signed_in
def stand_alone_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The curator's word that an object may be shown without its companion."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.CHOOSE, about_showing(showing))
    form = AloneForm(request.POST or None, initial={"note": showing.stands_alone_note})

    def act(data: dict[str, Any]) -> str:
        let_stand_alone(
            showing_id=showing.pk,
            note=data["note"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"{showing.museum_object.object_number} may stand alone."

    page = FormPage(
        title=f"Let it stand alone: {called(showing)}",
        submit="It may stand alone",
        back=reverse("showing", args=[showing.uid]),
        lead="Its companion is not shown with it; the reason stays on record.",
    )
    return answer_form(request, form, act, page)
