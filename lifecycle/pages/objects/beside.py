"""Forms for what belongs to an object: faces, hazards, sizes, parts, numbers, companions."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.objects import (
    add_component,
    add_face,
    add_other_number,
    change_face,
    end_companion,
    end_hazard,
    name_companion,
    note_hazard,
    set_dimensions,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, role_for_one_of
from lifecycle.pages.objects.forms import (
    CompanionForm,
    ComponentForm,
    DimensionsForm,
    EndForm,
    FaceChangeForm,
    FaceForm,
    HazardForm,
    OtherNumberForm,
    initial_of_face,
)
from lifecycle.pages.objects.lists import KEEPERS
from lifecycle.pages.objects.one import seen_object
from lifecycle.process.words import Hazard
from lifecycle.queries.rights import about_object
from lifecycle.records.models import Companionship, Face, MuseumObject, ObjectHazard

HAZARD_CAUTION = (
    "What is written here goes on every paper that travels with the object. Follow local codes, "
    "the safety data sheet and licensed practice: Showrest informs, it does not judge a hazard."
)


def _acting(request: SignedInRequest, museum_object: MuseumObject) -> dict[str, Any]:
    """Who acts, in which role, when: the first arguments of every action."""
    role = role_for_one_of(request, KEEPERS, about_object(museum_object))
    return {"by": request.person, "role": role, "at": request.at}


def _page(
    museum_object: MuseumObject, title: str, submit: str, *, lead: str = "", cautions: Any = ()
) -> FormPage:
    return FormPage(
        title=f"{title}: {museum_object.object_number}",
        submit=submit,
        back=reverse("object", args=[museum_object.uid]),
        lead=lead or museum_object.title,
        cautions=cautions,
    )


@signed_in
def face_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Add a face to an object."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)
    form = FaceForm(request.POST or None, museum_object=museum_object)

    def act(_: dict[str, Any]) -> str:
        face = add_face(**acting, museum_object=museum_object, details=form.details())
        return f"The face “{face.label}” is on record."

    return answer_form(request, form, act, _page(museum_object, "Add a face", "Add the face"))


@signed_in
def face_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change a face; the address holds the face's uid."""
    face = get_object_or_404(Face.objects.select_related("museum_object"), uid=uid)
    museum_object = seen_object(request, face.museum_object.uid)
    acting = _acting(request, museum_object)
    form = FaceChangeForm(
        request.POST or None, initial=initial_of_face(face), museum_object=museum_object
    )

    def act(data: dict[str, Any]) -> str:
        change_face(**acting, face=face, details=form.details(), why=data["why"])
        return f"The face “{form.details().label}” is changed."

    page = _page(museum_object, f"Change the face “{face.label}”", "Change the face")
    return answer_form(request, form, act, page)


@signed_in
def hazard_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Note a hazard."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)
    form = HazardForm(request.POST or None)

    def act(_: dict[str, Any]) -> str:
        row = note_hazard(**acting, museum_object=museum_object, details=form.details())
        return f"{Hazard(row.hazard).label.capitalize()} is noted on {museum_object.object_number}."

    page = _page(museum_object, "Note a hazard", "Note the hazard", cautions=(HAZARD_CAUTION,))
    return answer_form(request, form, act, page)


@signed_in
def hazard_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a hazard; the address holds the hazard's uid."""
    row = get_object_or_404(ObjectHazard.objects.select_related("museum_object"), uid=uid)
    museum_object = seen_object(request, row.museum_object.uid)
    acting = _acting(request, museum_object)
    label = Hazard(row.hazard).label

    def act(data: dict[str, Any]) -> str:
        end_hazard(**acting, hazard=row, why=data["why"])
        return f"The hazard “{label}” is ended; it stays in the history."

    page = _page(
        museum_object,
        f"End the hazard “{label}”",
        "End the hazard",
        lead="It will no longer be printed on papers. Say how it is known to be gone.",
        cautions=(HAZARD_CAUTION,),
    )
    return answer_form(request, EndForm(request.POST or None), act, page)


@signed_in
def size_set(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the object's size in one state."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)
    form = DimensionsForm(request.POST or None)

    def act(_: dict[str, Any]) -> str:
        set_dimensions(**acting, museum_object=museum_object, size=form.size())
        return "The size is on record."

    return answer_form(request, form, act, _page(museum_object, "Size", "Keep the size"))


@signed_in
def component_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Add a component."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)

    def act(data: dict[str, Any]) -> str:
        made = add_component(**acting, museum_object=museum_object, **data)
        return f"The component “{made.label}” is on record."

    page = _page(museum_object, "Add a component", "Add the component")
    return answer_form(request, ComponentForm(request.POST or None), act, page)


@signed_in
def number_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Add another number."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)

    def act(data: dict[str, Any]) -> str:
        made = add_other_number(**acting, museum_object=museum_object, **data)
        return f"The number {made.number} is on record."

    page = _page(museum_object, "Add another number", "Add the number")
    return answer_form(request, OtherNumberForm(request.POST or None), act, page)


@signed_in
def companion_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Name a companion."""
    museum_object = seen_object(request, uid)
    acting = _acting(request, museum_object)

    def act(data: dict[str, Any]) -> str:
        made = name_companion(**acting, museum_object=museum_object, **data)
        return f"{made.companion.object_number} is named as its companion."

    page = _page(
        museum_object,
        "Name a companion",
        "Name the companion",
        lead="Companions are planned, placed and taken down with the other named.",
    )
    return answer_form(request, CompanionForm(request.POST or None), act, page)


@signed_in
def companion_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Part two companions; the address holds the uid of their bond."""
    bond = get_object_or_404(Companionship.objects.select_related("museum_object"), uid=uid)
    museum_object = seen_object(request, bond.museum_object.uid)
    acting = _acting(request, museum_object)

    def act(data: dict[str, Any]) -> str:
        end_companion(**acting, companionship=bond, why=data["why"])
        return "They need not stand together any longer."

    page = _page(museum_object, "Part companions", "Part them")
    return answer_form(request, EndForm(request.POST or None), act, page)
