"""One object's page, and the two forms of its card."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.objects import add_object, change_object
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.objects.forms import ObjectChangeForm, ObjectForm, initial_of
from lifecycle.pages.objects.lists import KEEPERS
from lifecycle.process.rights import Deed
from lifecycle.queries import condition, display, light, movements
from lifecycle.queries.changes import changes_of, version_of
from lifecycle.queries.made_for_it import on_object as preparation_of
from lifecycle.queries.objects import object_on_record
from lifecycle.queries.rights import about_object, may_see_objects, museum_day
from lifecycle.queries.treatment.on_showing import on_object as treatment_of
from lifecycle.records.models import MuseumObject


def seen_object(request: SignedInRequest, uid: UUID) -> MuseumObject:
    """The object at this address.

    :raises Http404: if there is none
    :raises NotAllowed: if this person may not see it
    """
    museum_object = get_object_or_404(MuseumObject, uid=uid)
    if not may_see_objects(
        request.facts, MuseumObject.objects.filter(pk=museum_object.pk)
    ).exists():
        request.role_for(Deed.SEE_SHOWING, about_object(museum_object))
        raise Http404
    return museum_object


@require_GET
@signed_in
def object_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Everything on record about one object."""
    museum_object = seen_object(request, uid)
    card = object_on_record(museum_object, request.facts, museum_day(request.at))
    stored, at = card.museum_object, request.at
    context: dict[str, Any] = {
        "card": card,
        "object": stored,
        "light": light.on_object(stored, at),
        "condition": condition.on_object(stored, at),
        "display": display.on_object(stored, at),
        "treatment": treatment_of(stored, at),
        "preparation": preparation_of(stored, at),
        "may_examine": request.may(Deed.EXAMINE),
        "may_keep": may_one_of(request, KEEPERS),
        "changes": changes_of(museum_object, most=20),
    }
    if card.sees_bay:
        context["movements"] = movements.on_object(stored, at)
    return render(request, "objects/one.html", context)


@signed_in
def object_new(request: SignedInRequest) -> HttpResponse:
    """Put an object on record."""
    role = role_for_one_of(request, KEEPERS)
    form = ObjectForm(request.POST or None)

    def act(_: dict[str, Any]) -> Done:
        made = add_object(by=request.person, role=role, at=request.at, details=form.details())
        return Done(f"{made.object_number} is on record.", reverse("object", args=[made.uid]))

    page = FormPage(
        title="Put an object on record",
        submit="Put it on record",
        back=reverse("objects"),
        lead="What showing it and bringing it back need; the catalogue stays the master.",
        draft="object-new",
    )
    return answer_form(request, form, act, page)


@signed_in
def object_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change an object's card."""
    museum_object = seen_object(request, uid)
    role = role_for_one_of(request, KEEPERS, about_object(museum_object))
    initial = {**initial_of(museum_object), "version": version_of(museum_object)}
    form = ObjectChangeForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        change_object(
            by=request.person,
            role=role,
            at=request.at,
            museum_object=museum_object,
            details=form.details(),
            version=data["version"],
            why=data["why"],
        )
        return f"The card of {museum_object.object_number} is changed."

    page = FormPage(
        title=f"Change the card of {museum_object.object_number}",
        submit="Change the card",
        back=reverse("object", args=[uid]),
        lead=museum_object.title,
        draft=f"object-{uid}",
    )
    return answer_form(request, form, act, page)
