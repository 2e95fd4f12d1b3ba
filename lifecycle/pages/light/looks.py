"""Looks from the phone: picture, three keys, a note; and the answers that flags must get."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.looks import answer_look, record_look
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.light.forms import AnswerForm, LookForm
from lifecycle.pages.light.readings import GALLERY_FORM, here, place_in_reach
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import LookVerdict
from lifecycle.queries.light.pages import at_place
from lifecycle.queries.light.watching import look_line
from lifecycle.queries.rights import about_object, about_place, museum_day
from lifecycle.records.models import DisplayPeriod, Face, Look, MuseumObject, Place
from lifecycle.records.models.light import NotReached
from lifecycle.records.models.pictures import PicturePurpose

NOT_REACHED = "not_reached"


@require_GET
@signed_in
def looks(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The objects on display in one place, each with its picture and the last look."""
    place = place_in_reach(request, uid)
    context = {
        "place": place,
        "record": at_place(place, request.at),
        "may_walk": request.may(Deed.WALK, about_place(place)),
        "today": museum_day(request.at),
    }
    return render(request, "light/looks.html", context)


def _where(thing: MuseumObject) -> tuple[DisplayPeriod | None, Place | None]:
    """Where one looks at it: in its display position, else where it lies now."""
    period = (
        DisplayPeriod.objects.filter(museum_object=thing, closed_at=None, struck_at=None)
        .select_related("place__parent", "face__thumbnail", "showing")
        .first()
    )
    return period, period.place if period is not None else thing.current_location


@signed_in
def look_take(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Look at one object: compare with the picture and press what was seen."""
    thing = get_object_or_404(MuseumObject.objects.select_related("current_location"), uid=uid)
    period, place = _where(thing)
    if place is None:
        request.role_for(Deed.SEE_SHOWING, about_object(thing))
        messages.error(request, f"{thing.object_number} has no place on record to look at it.")
        return redirect("object", uid=thing.uid)
    role = request.role_for(Deed.WALK, about_place(place))
    form = LookForm(request.POST or None, request.FILES or None, at=request.at)
    face = period.face if period is not None else thing.faces.order_by("order", "pk").first()
    back = here(place.parent or place)
    if request.method == "POST" and form.is_valid():
        pressed = request.POST.get("seen", "")
        try:
            _keep(request, form.cleaned_data, pressed, role, thing, place, period, face)
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            messages.success(request, f"The look at {thing.object_number} is kept.")
            return redirect(back)
    context = {
        "form": form,
        "thing": thing,
        "face": face,
        "place": place,
        "period": period,
        "verdicts": [(verdict.value, verdict.label) for verdict in LookVerdict],
        "back": back,
    }
    return render(request, "light/look.html", context)


def _keep(
    request: SignedInRequest,
    data: dict[str, Any],
    pressed: str,
    role: Role,
    thing: MuseumObject,
    place: Place,
    period: DisplayPeriod | None,
    face: Face | None,
) -> Look:
    verdict = None if pressed == NOT_REACHED else _verdict(pressed)
    sent: UploadedFile[bytes] | None = data["picture"]
    received = receive_sent(sent) if verdict is not None else None
    shown = {"face": face, "museum_object": thing, "taken_at": data["looked_at"]}
    with transaction.atomic():
        picture = keep_sent(request, role, received, PicturePurpose.OTHER, **shown)
        return record_look(
            by=request.person,
            role=role,
            at=request.at,
            museum_object=thing,
            place=place,
            looked_at=data["looked_at"],
            verdict=verdict,
            showing=None if period is None else period.showing,
            face=face,
            through_glass=data["through_glass"],
            note=data["note"],
            not_looked=NotReached.NOT_REACHED if verdict is None else None,
            not_reached_because=data["not_reached_because"],
            picture=picture,
        )


def _verdict(pressed: str) -> LookVerdict:
    try:
        return LookVerdict(pressed)
    except ValueError as fault:
        raise Refused("Press the key that says what was seen.") from fault


@signed_in
def look_answer(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say what came of a flag."""
    look = get_object_or_404(
        Look.objects.select_related("museum_object", "looked_by", "face", "place"), uid=uid
    )
    role = request.role_for(Deed.EXAMINE, about_object(look.museum_object))
    form = AnswerForm(request.POST or None)
    line = look_line(look)

    def act(data: dict[str, Any]) -> str:
        answer_look(by=request.person, role=role, at=request.at, look=look, text=data["text"])
        return f"{look.looked_by.full_name} finds the answer beside the look."

    note = f" “{look.note}”" if look.note else ""
    page = FormPage(
        title=f"Answer the flag on {look.museum_object.object_number}",
        submit="Give the answer",
        back=reverse("readings", args=[look.place.uid]),
        lead=f"{line.seen}, flagged by {line.by} in {line.place}.{note}",
        template=GALLERY_FORM,
    )
    return answer_form(request, form, act, page)
