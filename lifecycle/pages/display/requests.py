"""Ask for an object, answer, override, decline."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.display.answering import answer_request, decline, override_answer
from lifecycle.actions.display.requesting import ask_for
from lifecycle.pages.display.request_forms import (
    AnswerForm,
    DeclineForm,
    ObjectAskedForm,
    OverrideForm,
    RequestForm,
)
from lifecycle.pages.display.seeing import called, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form, role_for_one_of
from lifecycle.process.rights import Deed
from lifecycle.process.switches import Switch
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.display.requests import Booking, late_by, other_bookings
from lifecycle.queries.facts.rules import rules_of
from lifecycle.queries.light import LightCheck, NextAllowed, light_check, next_allowed_for
from lifecycle.queries.light.answers_again import answer_then
from lifecycle.queries.light.offers import offers_for, offers_instead
from lifecycle.queries.rights import about_exhibition, about_showing, museum_day
from lifecycle.records.models import Exhibition, Face, MuseumObject, RequestAnswer, Showing


@signed_in
def request_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for an object in one exhibition: first which, then how."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    request.role_for(Deed.CHOOSE, about_exhibition(exhibition))
    number = request.GET.get("object", "")
    thing = MuseumObject.objects.filter(uid=number).first() if _is_uid(number) else None
    if thing is None:
        return _which_object(request, exhibition)
    return _how(request, exhibition, thing)


def _is_uid(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True


def _back(exhibition: Exhibition) -> str:
    return reverse("exhibition", args=[exhibition.uid])


def _which_object(request: SignedInRequest, exhibition: Exhibition) -> HttpResponse:
    form = ObjectAskedForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        here = reverse("request-new", args=[exhibition.uid])
        return redirect(f"{here}?object={form.cleaned_data['museum_object'].uid}")
    page = FormPage(
        title="Ask for an object",
        submit="Go on",
        back=_back(exhibition),
        lead=f"For {exhibition.title}.",
    )
    return answer_form(request, form, lambda data: "", page)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceAtOnce:
    """What the light account answers for one face, before anything is asked."""

    face: Face
    answer: NextAllowed


def _how(request: SignedInRequest, exhibition: Exhibition, thing: MuseumObject) -> HttpResponse:
    about = about_exhibition(exhibition)
    today = museum_day(request.at)
    rules = rules_of([exhibition.pk], rules_in_force(today))[exhibition.pk]
    form = RequestForm(
        request.POST or None,
        exhibition=exhibition,
        museum_object=thing,
        asks_alternatives=Switch.ALTERNATIVES not in rules.off,
    )

    def act(_: dict[str, Any]) -> Done:
        showing = ask_for(
            by=request.person,
            role=request.role_for(Deed.CHOOSE, about),
            at=request.at,
            exhibition=exhibition,
            museum_object=thing,
            wish=form.wish(),
        )
        said = f"{showing.request_no}: {thing.object_number} is asked for."
        return Done(said, showing_address(showing))

    # What is left of a run that has begun is what can still be had.
    first = min(max(exhibition.opens, today), exhibition.closes)
    days = (exhibition.closes - first).days + 1
    bookings: list[Booking] = other_bookings(thing, None)
    faces = list(Face.objects.filter(museum_object=thing).order_by("order", "pk"))
    page = FormPage(
        title=f"Ask for {thing.object_number} {thing.title}",
        submit="Ask for it",
        back=_back(exhibition),
        lead=f"For {exhibition.title}.",
        draft=f"request-{exhibition.uid}-{thing.uid}",
        template="display/request.html",
        more={
            "bookings": bookings,
            "holds": list(thing.holds.filter(lifted_at=None).order_by("placed_at", "pk")),
            "late": late_by(exhibition, today),
            "at_once": [
                FaceAtOnce(
                    face=face,
                    answer=next_allowed_for(
                        face,
                        first_day=first,
                        days=days,
                        place=None,
                        lux=None,
                        at=request.at,
                        exhibition=exhibition,
                    ),
                )
                for face in faces[:6]
            ],
            "instead": offers_instead(
                thing,
                faces,
                first=first,
                days=days,
                at=request.at,
                exhibition=exhibition,
            ),
            "exhibition": exhibition,
        },
    )
    return answer_form(request, form, act, page)


def _check_and_offers(request: SignedInRequest, showing: Showing) -> tuple[LightCheck, str]:
    """What the light account says, and what could be offered instead where it says no."""
    check = light_check(showing, request.at)
    if check.ok:
        return check, ""
    offers = offers_for(showing, request.at)
    return check, " ".join(part for part in (check.offered, *offers) if part)


@require_GET
@signed_in
def answer_figures(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """An answer that was given, computed again from what it stored."""
    row = get_object_or_404(RequestAnswer.objects.select_related("showing", "by"), uid=uid)
    showing = seen_showing(request, row.showing.uid)
    context = {"showing": showing, "called": called(showing), "then": answer_then(row)}
    return render(request, "display/answer_figures.html", context)


@signed_in
def request_answer(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Answer the request; the figures of the light account stand beside the form."""
    showing = seen_showing(request, uid)
    about = about_showing(showing)
    role = request.role_for(Deed.EXAMINE, about)
    check, offered = _check_and_offers(request, showing)
    form = AnswerForm(request.POST or None, initial={"offered": offered})

    def act(data: dict[str, Any]) -> str:
        answer_request(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{showing.request_no} is answered: {data['answer'].label}."

    page = FormPage(
        title=f"Answer the request for {called(showing)}",
        submit="Give this answer",
        back=showing_address(showing, "display"),
        lead=f"{showing.request_no} for {showing.exhibition.title}.",
        draft=f"answer-{showing.uid}",
        template="display/answer.html",
        more={
            "showing": showing,
            "check": check,
            "bookings": other_bookings(showing.museum_object, showing),
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def request_override(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a yes above the light account."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.OVERRIDE, about_showing(showing))
    form = OverrideForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        override_answer(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{showing.request_no} has an override; it stays on the light statement."

    page = FormPage(
        title=f"Override for {called(showing)}",
        submit="Override with my name",
        back=showing_address(showing, "display"),
        template="display/answer.html",
        more={
            "showing": showing,
            "check": light_check(showing, request.at),
            "bookings": other_bookings(showing.museum_object, showing),
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def request_decline(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End the showing with a no, before or after the examination."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, (Deed.EXAMINE, Deed.CHOOSE), about_showing(showing))
    check, offered = _check_and_offers(request, showing)
    form = DeclineForm(request.POST or None, initial={"offered": offered})

    def act(data: dict[str, Any]) -> str:
        decline(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{called(showing)} is declined; the reason and the figures are on record."

    page = FormPage(
        title=f"Decline {called(showing)}",
        submit="Decline",
        back=showing_address(showing, "display"),
        draft=f"decline-{showing.uid}",
        template="display/answer.html",
        more={
            "showing": showing,
            "check": check,
            "bookings": other_bookings(showing.museum_object, showing),
        },
    )
    return answer_form(request, form, act, page)
