"""The list of movements, and one movement from plan to confirmed arrival."""

import re
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.movements import (
    Scanned,
    authorise_movement,
    cancel_movement,
    confirm_arrival,
    hand_over,
    plan_movement,
    receive,
)
from lifecycle.actions.movements.planning import Carried
from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.signing import with_account
from lifecycle.pages.display.hands import role_in_hand
from lifecycle.pages.display.seeing import cautions_of_all, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.movements.forms import (
    CallOffForm,
    ConfirmForm,
    HandOverForm,
    MovementForm,
    ReceiveForm,
    cards_waiting,
    lowest_place,
)
from lifecycle.process.carrying import people_demanded
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.queries.display.beginnings import way_on
from lifecycle.queries.movements import loads_of, movements_list, rows_of
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.records.models import Movement, MovementLine, MuseumObject, PaperKind, Showing


def may_see_movements(request: SignedInRequest) -> bool:
    """Everybody who works here sees the movements of the objects they may see; guests do not."""
    return bool(request.facts.roles - {Role.COURIER, Role.LENDER})


@require_GET
@signed_in
def movements(request: SignedInRequest) -> HttpResponse:
    """What is under way, what waits for a signature, what nobody has confirmed."""
    only = request.GET.get("only", "open")
    words = request.GET.get("q", "").strip()[:100]
    if not may_see_movements(request):
        request.role_for(Deed.SEE_SHOWING)
    context = {
        "rows": movements_list(request.facts, request.at, only=only, words=words),
        "only": only,
        "asked": words,
        "may_plan": bool(role_in_hand(request.facts, SubjectFacts())),
    }
    part = request.htmx and not request.htmx.boosted
    template = "movements/rows.html" if part else "movements/list.html"
    return render(request, template, context)


def _showing_of(thing: MuseumObject) -> Showing | None:
    return (
        Showing.objects.filter(museum_object=thing)
        .exclude(stage__in=sorted({*CLOSED, Stage.SELECTION}))
        .order_by("-pk")
        .first()
    )


def _known(request: SignedInRequest, showing: Showing | None) -> list[MuseumObject]:
    """The objects the form begins with: of the showing it came from, or those typed."""
    if request.method == "POST":
        typed = re.split(r"[,\n\0]", request.POST.get("objects", ""))
        numbers = [line.strip() for line in typed if line.strip()]
        return list(MuseumObject.objects.filter(object_number__in=numbers).order_by("pk"))
    return [showing.museum_object] if showing is not None else []


@signed_in
def movement_new(request: SignedInRequest) -> HttpResponse:
    """Plan a movement; it needs its authority before anything leaves."""
    asked = request.GET.get("showing", "")
    showing = seen_showing(request, UUID(asked)) if _is_uid(asked) else None
    about = about_showing(showing) if showing else SubjectFacts()
    known = _known(request, showing)
    role = role_in_hand(request.facts, about) or (
        role_in_hand(request.facts, about_object(known[0])) if known else None
    )
    role = role or request.role_for(Deed.HANDLE, about)
    here = lowest_place(known)
    way = way_on(showing or _showing_of(known[0]), known[0]) if len(known) == 1 else None
    goal = way.to_place if way else None
    least, needs = people_demanded(loads_of(known))
    form = MovementForm(
        request.POST or None,
        initial={
            "objects": "\n".join(thing.object_number for thing in known),
            "from_place": str(here.uid) if here else "",
            "to_place": request.GET.get("to", "") or (str(goal.uid) if goal else ""),
            "reason": request.GET.get("reason", "") or (way.reason if way else ""),
            "people_needed": least,
        },
    )
    form.fill(request, known, way.likely if way else ())

    def act(data: dict[str, Any]) -> Done:
        carried = [
            Carried(museum_object=thing, showing=_showing_of(thing)) for thing in data["objects"]
        ]
        rest = {name: value for name, value in data.items() if name != "objects"}
        row = plan_movement(by=request.person, role=role, at=request.at, carried=carried, **rest)
        return Done(f"{row.movement_no} is planned.", reverse("movement", args=[row.uid]))

    page = FormPage(
        title="Plan a movement",
        submit="Plan it",
        back=reverse("movements"),
        draft=f"movement-{showing.uid if showing else 'new'}",
        cautions=cautions_of_all(known, CautionFor.MOVE).after(need.text for need in needs),
    )
    return answer_form(request, form, act, page)


def _is_uid(text: str) -> bool:
    try:
        UUID(text)
    except ValueError:
        return False
    return True


def seen_movement(request: SignedInRequest, uid: UUID) -> tuple[Movement, list[MovementLine]]:
    """The movement at this address, its lines, and a check that the person may see its objects."""
    row = get_object_or_404(
        Movement.objects.select_related(
            "from_place",
            "to_place",
            "reason",
            "method",
            "carried_by",
            "authorised_by",
            "handed_over_by",
            "received_by",
            "arrival_confirmed_by",
        ),
        uid=uid,
    )
    lines = list(
        row.lines.select_related(
            "museum_object__current_location", "showing__exhibition", "showing__place"
        ).order_by("museum_object__object_number", "pk")
    )
    for line in lines:
        request.role_for(Deed.SEE_SHOWING, _about(line))
    return row, lines


def _about(line: MovementLine) -> SubjectFacts:
    return about_showing(line.showing) if line.showing else about_object(line.museum_object)


@require_GET
@signed_in
def movement_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One movement: its slip in words, what it waits for, who signed."""
    row, lines = seen_movement(request, uid)
    objects = [line.museum_object for line in lines]
    about = _about(lines[0]) if lines else SubjectFacts()
    sees_bays = request.may(Deed.SEE_STORE_BAY, about)
    context = {
        "row": rows_of([row], request.at, bays=sees_bays)[0],
        "sees_bays": sees_bays,
        "movement": row,
        "lines": lines,
        "cautions": cautions_of_all(objects, CautionFor.MOVE),
        "cards": list(row.cards.select_related("museum_object", "place").order_by("pk")),
        "signatures": signatures_of(row),
        "may_authorise": request.may(Deed.REGISTER),
        "may_see_movements": may_see_movements(request),
        "may_print": any(request.may(deed, about) for deed in TO_PRINT[PaperKind.MOVEMENT_SLIP]),
        "may_handle": role_in_hand(request.facts, about) is not None,
    }
    return render(request, "movements/one.html", context)


def _page(row: Movement, title: str, submit: str, lines: list[MovementLine]) -> FormPage:
    return FormPage(
        title=title,
        submit=submit,
        back=reverse("movement", args=[row.uid]),
        lead=f"{row.from_place.name} to {row.to_place.name}: "
        + ", ".join(line.museum_object.object_number for line in lines),
        cautions=cautions_of_all([line.museum_object for line in lines], CautionFor.MOVE),
        draft=f"movement-{row.uid}",
        template="movements/step.html",
        more={"movement": row, "lines": lines},
    )


def _hand_role(request: SignedInRequest, lines: list[MovementLine]) -> Role:
    about = _about(lines[0]) if lines else SubjectFacts()
    return role_in_hand(request.facts, about) or request.role_for(Deed.HANDLE, about)


@signed_in
def movement_authorise(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Give the movement its authority."""
    row, lines = seen_movement(request, uid)
    role = request.role_for(Deed.REGISTER)
    form = forms.Form(request.POST if request.method == "POST" else None)

    def act(_: dict[str, Any]) -> str:
        authorise_movement(by=request.person, role=role, at=request.at, movement=row)
        return f"{row.movement_no} is authorised."

    page = _page(row, f"Authorise {row.movement_no}", "Authorise with my name", lines)
    return answer_form(request, form, act, page)


@signed_in
def movement_hand_over(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Release the objects with a signature."""
    row, lines = seen_movement(request, uid)
    role = _hand_role(request, lines)
    carrier = row.carried_by.uid if row.carried_by else None
    form = HandOverForm(
        request.POST or None, initial={"left_at": request.at, "carried_by": carrier}
    )
    form.fill(request)

    def act(data: dict[str, Any]) -> str:
        hand_over(
            by=request.person,
            role=role,
            at=request.at,
            movement=row,
            hand=with_account(person=request.person, role=role, password=data["password"]),
            left_at=data["left_at"],
            carried_by=data["carried_by"],
        )
        return f"{row.movement_no} is handed over; sign at the other end."

    page = _page(row, f"Hand over {row.movement_no}", "Hand over and sign", lines)
    return answer_form(request, form, act, page)


@signed_in
def movement_receive(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign for the objects where they arrived; with the codes the arrival is confirmed."""
    row, lines = seen_movement(request, uid)
    role = _hand_role(request, lines)
    form = ReceiveForm(request.POST or None, initial={"arrived_at": request.at})
    form.ask_cards(cards_waiting(row, [line.museum_object_id for line in lines]))

    def act(data: dict[str, Any]) -> str:
        scanned = (
            Scanned(
                place=data["place_code"], objects=form.codes(), card_numbers=form.card_numbers()
            )
            if data["place_code"].strip() or form.codes()
            else None
        )
        receive(
            by=request.person,
            role=role,
            at=request.at,
            movement=row,
            hand=with_account(person=request.person, role=role, password=data["password"]),
            arrived_at=data["arrived_at"],
            state=data["state"],
            note=data["note"],
            scanned=scanned,
        )
        follows = "" if scanned else " Confirm the arrival by scan or from the slip."
        return f"{row.movement_no} is received in {row.to_place.name}.{follows}"

    page = _page(row, f"Receive {row.movement_no}", "Receive and sign", lines)
    return answer_form(request, form, act, page)


@signed_in
def movement_confirm(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Confirm an arrival that was signed for without a scan."""
    row, lines = seen_movement(request, uid)
    role = _hand_role(request, lines)
    form = ConfirmForm(request.POST or None)
    form.ask_cards(cards_waiting(row, [line.museum_object_id for line in lines]))

    def act(data: dict[str, Any]) -> str:
        confirm_arrival(
            by=request.person,
            role=role,
            at=request.at,
            movement=row,
            how=data["how"],
            scanned=Scanned(
                place=data["place_code"], objects=form.codes(), card_numbers=form.card_numbers()
            ),
        )
        return f"The arrival of {row.movement_no} is confirmed."

    page = _page(row, f"Confirm the arrival of {row.movement_no}", "Confirm", lines)
    return answer_form(request, form, act, page)


@signed_in
def movement_cancel(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Call off a movement that has not begun."""
    row, lines = seen_movement(request, uid)
    role = _hand_role(request, lines)
    form = CallOffForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        cancel_movement(
            by=request.person, role=role, at=request.at, movement=row, reason=data["reason"]
        )
        return f"{row.movement_no} is called off."

    page = _page(row, f"Call off {row.movement_no}", "Call it off", lines)
    return answer_form(request, form, act, page)
