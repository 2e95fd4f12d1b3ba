"""Add an exhibition, change its facts, its state, its dates."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.exhibitions import (
    add_exhibition,
    change_exhibition,
    move_dates,
    set_state,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.exhibition_edit.forms import (
    FactsChangeForm,
    MoveDatesForm,
    NewExhibitionForm,
    StateForm,
    dates_of,
    initial_of,
)
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import ExhibitionState
from lifecycle.queries.changes import version_of
from lifecycle.queries.rights import about_exhibition
from lifecycle.records.models import Exhibition


def _keeper(request: SignedInRequest, exhibition: Exhibition) -> dict[str, Any]:
    """Who acts, in which role, when: a registrar or the head, or the exhibition's own manager."""
    if request.may(Deed.REGISTER):
        role = request.role_for(Deed.REGISTER)
    else:
        role = request.role_for(Deed.SCHEDULE, about_exhibition(exhibition))
        if role is not Role.EXHIBITION_MANAGER:
            role = request.role_for(Deed.REGISTER)
    return {"by": request.person, "role": role, "at": request.at}


def may_keep(request: SignedInRequest, exhibition: Exhibition) -> bool:
    """Whether the person may change this exhibition's facts and state."""
    own = any(
        post.role is Role.EXHIBITION_MANAGER and exhibition.pk in post.exhibitions
        for post in request.facts.posts
    )
    return own or request.may(Deed.REGISTER)


def _page(exhibition: Exhibition, title: str, submit: str, lead: str = "") -> FormPage:
    return FormPage(
        title=title,
        submit=submit,
        back=reverse("exhibition", args=[exhibition.uid]),
        lead=lead or exhibition.title,
    )


@signed_in
def exhibition_new(request: SignedInRequest) -> HttpResponse:
    """Put an exhibition on record."""
    role = request.role_for(Deed.REGISTER)
    form = NewExhibitionForm(request.POST or None)

    def act(_: dict[str, Any]) -> Done:
        made = add_exhibition(
            by=request.person,
            role=role,
            at=request.at,
            details=form.details(),
            dates=form.dates(),
        )
        return Done(f"“{made.title}” is on record.", reverse("exhibition", args=[made.uid]))

    page = FormPage(
        title="Put an exhibition on record",
        submit="Put it on record",
        back=reverse("exhibitions"),
        draft="exhibition-new",
    )
    return answer_form(request, form, act, page)


@signed_in
def exhibition_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change what an exhibition is."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    acting = _keeper(request, exhibition)
    initial = {**initial_of(exhibition), "version": version_of(exhibition)}
    form = FactsChangeForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        change_exhibition(
            **acting,
            exhibition=exhibition,
            details=form.details(),
            version=data["version"],
            why=data["why"],
        )
        return "The exhibition is changed."

    return answer_form(
        request, form, act, _page(exhibition, "Change the exhibition", "Keep the change")
    )


@signed_in
def exhibition_dates(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Postpone, extend or close early."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    about = about_exhibition(exhibition)
    role = request.role_for(Deed.SCHEDULE, about)
    form = MoveDatesForm(request.POST or None, initial=dates_of(exhibition))

    def act(data: dict[str, Any]) -> str:
        moved = move_dates(
            by=request.person,
            role=role,
            at=request.at,
            exhibition=exhibition,
            dates=form.dates(),
            why=data["why"],
        )
        return (
            f"The dates are moved. {moved.showings} showings and {moved.appointments} planned "
            "days went with them; light and tasks are counted anew."
        )

    lead = (
        f"{exhibition.title}. Showings, their faces and planned days keep their distance; what "
        "has happened stays."
    )
    return answer_form(request, form, act, _page(exhibition, "Move the dates", "Move them", lead))


@signed_in
def exhibition_state(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Bring the exhibition to its next state."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    acting = _keeper(request, exhibition)
    now = ExhibitionState(exhibition.state)
    form = StateForm(request.POST or None, now=now)

    def act(data: dict[str, Any]) -> str:
        done = set_state(**acting, exhibition=exhibition, **data)
        return f"“{done.title}” is now {ExhibitionState(done.state).label}."

    lead = f"{exhibition.title} is {now.label}."
    return answer_form(request, form, act, _page(exhibition, "State", "Keep the state", lead))
