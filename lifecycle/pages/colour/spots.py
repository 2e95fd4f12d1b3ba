"""Colour spots of an object: laid out on the picture, read again and again."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from lifecycle.actions.colour import (
    Measured,
    SpotLaid,
    give_up_spot,
    keep_measurement,
    lay_out_spot,
    strike_measurement,
)
from lifecycle.pages.colour.forms import MeasureForm, SpotForm, WhyForm
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.objects.one import seen_object
from lifecycle.pages.pictures import picture_address
from lifecycle.papers.drawing.numbered_picture import as_svg
from lifecycle.papers.words.parts import MarkWords
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.colour import FaceSpots, spots_of
from lifecycle.queries.condition.sheet import last_pictures
from lifecycle.queries.rights import about_object
from lifecycle.records.models import ColourMeasurement, ColourSpot, Face, MuseumObject, Picture


def _drawn(part: FaceSpots) -> Any:
    picture = part.picture
    if picture is None:
        return ""
    marks = [
        MarkWords(number=one.spot.number, x=float(one.spot.box_left), y=float(one.spot.box_top))
        for one in part.series
    ]
    named = ", ".join(f"C{mark.number}" for mark in marks)
    drawn = as_svg(
        href=picture_address(picture, "screen"),
        width=picture.width,
        height=picture.height,
        marks=marks,
        title=f"{part.face.label} with colour spots {named}",
    )
    return mark_safe(drawn)  # noqa: S308 (our own drawing; every text in it is escaped there)


@require_GET
@signed_in
def object_colours(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The spots of an object with their dates and what changed between them."""
    museum_object = seen_object(request, uid)
    parts = spots_of(museum_object)
    context = {
        "object": museum_object,
        "parts": [{"part": part, "drawing": _drawn(part)} for part in parts],
        "faces": list(museum_object.faces.order_by("order", "pk")),
        "may_read": request.may(Deed.EXAMINE, about_object(museum_object)),
    }
    return render(request, "colour/object.html", context)


def examiner(request: SignedInRequest, museum_object: MuseumObject) -> Role:
    """The role in which the person examines this object; nobody else writes its colours."""
    return request.role_for(Deed.EXAMINE, about_object(museum_object))


def _picture_of(face: Face) -> Picture | None:
    return last_pictures([face]).get(face.pk)


@signed_in
def spot_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Lay a spot out on the picture of a face."""
    face = get_object_or_404(Face.objects.select_related("museum_object", "thumbnail"), uid=uid)
    museum_object = seen_object(request, face.museum_object.uid)
    role = examiner(request, museum_object)
    form = SpotForm(request.POST or None)
    picture = _picture_of(face)

    def act(data: dict[str, Any]) -> str:
        spot = lay_out_spot(
            laid=SpotLaid(
                face=face,
                what=data["what"],
                template=data["template"],
                left=data["box_left"],
                top=data["box_top"],
                picture=picture,
            ),
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"{spot} is laid out; its number stays."

    known = [part for part in spots_of(museum_object) if part.face.pk == face.pk]
    bare = FaceSpots(face=face, picture=picture, series=known[0].series if known else ())
    page = FormPage(
        title=f"A colour spot on {museum_object.object_number}, {face.label}",
        submit="Lay it out",
        back=reverse("object-colours", args=[museum_object.uid]),
        lead="Tap the spot on the picture, or give it in percent from the top left corner; the "
        "template finds it again.",
        draft=f"colour-spot-{face.uid}",
        template="colour/spot.html",
        cautions=cautions_of(museum_object, CautionFor.EXAMINE),
        more={"drawing": _drawn(bare)},
    )
    return answer_form(request, form, act, page)


def _seen_spot(request: SignedInRequest, uid: UUID) -> ColourSpot:
    spot = get_object_or_404(ColourSpot.objects.select_related("museum_object", "face"), uid=uid)
    seen_object(request, spot.museum_object.uid)
    return spot


@signed_in
def spot_read(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Type in one visit to a spot with its repeats."""
    spot = _seen_spot(request, uid)
    role = examiner(request, spot.museum_object)
    before = spot.measurements.filter(struck_at=None).order_by("-measured_at", "-pk").first()
    initial: dict[str, Any] = {"measured_at": request.at}
    if before is not None:
        names = ("geometry", "aperture_mm", "illuminant", "observer", "stated_repeatability")
        initial |= {name: getattr(before, name) for name in names}
        initial["instrument"] = before.instrument.uid
    form = MeasureForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        keep_measurement(
            measured=Measured(spot=spot, **data), by=request.person, role=role, at=request.at
        )
        return f"{spot} is read."

    page = FormPage(
        title=f"Read {spot} of {spot.museum_object.object_number}",
        submit="Keep these readings",
        back=reverse("object-colours", args=[spot.museum_object.uid]),
        lead=f"{spot.what}. Template: {spot.template}",
        draft=f"colour-read-{spot.uid}",
        cautions=cautions_of(spot.museum_object, CautionFor.EXAMINE),
    )
    return answer_form(request, form, act, page)


@signed_in
def spot_give_up(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Read a spot no longer."""
    spot = _seen_spot(request, uid)
    role = examiner(request, spot.museum_object)

    def act(data: dict[str, Any]) -> str:
        give_up_spot(spot=spot, why=data["why"], by=request.person, role=role, at=request.at)
        return f"{spot} is read no longer."

    page = FormPage(
        title=f"Read {spot} no longer",
        submit="Read it no longer",
        back=reverse("object-colours", args=[spot.museum_object.uid]),
    )
    return answer_form(request, WhyForm(request.POST or None), act, page)


@signed_in
def measurement_strike(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Strike a visit that was entered in error."""
    row = get_object_or_404(ColourMeasurement.objects.select_related("spot"), uid=uid)
    spot = row.spot = _seen_spot(request, row.spot.uid)
    role = examiner(request, spot.museum_object)

    def act(data: dict[str, Any]) -> str:
        strike_measurement(row=row, why=data["why"], by=request.person, role=role, at=request.at)
        return f"The readings of {spot} are struck; they stay on record."

    page = FormPage(
        title=f"Strike readings of {spot}",
        submit="Strike them",
        back=reverse("object-colours", args=[spot.museum_object.uid]),
    )
    return answer_form(request, WhyForm(request.POST or None), act, page)
