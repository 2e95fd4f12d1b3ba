"""Turns in the gallery: take out, show again."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse

from lifecycle.actions.display.rotating import Shown, show_again, start_rotation
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.pages.display.hands import (
    HandsForm,
    MeterFields,
    NeededToClose,
    hands_of,
    photo_field,
)
from lifecycle.pages.display.in_hand import InHand
from lifecycle.pages.display.install import PlaceCodeField, meter_of, photo_of
from lifecycle.pages.display.seeing import (
    called,
    cautions_of,
    keep_what_was_seen,
    seen_showing,
    showing_address,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import word_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.reasons import before_work
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.queries.display.checks import (
    courier_rule,
    open_turn,
    planned_for,
    shown_now,
)
from lifecycle.queries.display.companions import companions_on_show
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Appointment, Face, Person
from lifecycle.records.models.display.rotation import AppointmentKind, SupportDone, SwapDone


class TurnForm(HandsForm):
    """Take the face that is shown out of its place."""

    started_at = moment_field("Taken out at")
    reason = forms.CharField(
        label="Why now", required=False, max_length=300, help_text="Needed when nothing is planned."
    )
    photo_before = photo_field("Photograph before")
    field_order = ("started_at", "photo_before", "reason")


def other_person(appointment: Appointment | None, person: Person) -> UUID | None:
    both = (appointment.person_1, appointment.person_2) if appointment is not None else ()
    return next((one.uid for one in both if one.pk != person.pk), None)


@signed_in
def turn_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Start the rotation: the off-going face leaves its place."""
    showing = seen_showing(request, uid)
    about = about_showing(showing)
    request.role_for(Deed.HANDLE, about)
    planned = planned_for(showing, (AppointmentKind.TURN, AppointmentKind.SWAP))
    form = TurnForm(
        request.POST or None,
        request.FILES or None,
        initial={"started_at": request.at, "second_person": other_person(planned, request.person)},
    )
    form.ask_whom(request)
    keep_what_was_seen(form, showing)

    def act(data: dict[str, Any]) -> str:
        with hands_of(request, data, about) as (one, other):
            turn = start_rotation(
                one=one,
                other=other,
                at=request.at,
                showing=showing,
                started_at=data["started_at"],
                appointment=planned,
                reason=data["reason"],
                photo_before=photo_of(data["photo_before"]),
                seen_entry=data["seen_entry"],
            )
        return f"{turn.turn_no}: {called(showing)} is out of its place."

    page = FormPage(
        title=f"Turn {called(showing)}",
        submit="Take it out, signed by two",
        back=showing_address(showing, "display"),
        draft=f"turn-{showing.uid}",
        cautions=cautions_of(showing.museum_object, CautionFor.MOVE),
        template="display/turn.html",
        more={
            "showing": showing,
            "missing": before_work(request, showing, "start_rotation"),
            "planned": planned,
            "in_hand": [
                InHand.shown("Comes off", showing, shown_now(showing)),
                InHand.coming("Goes on", showing, planned.to_face if planned else None),
            ],
            "courier": courier_rule(showing, "turn"),
        },
    )
    return answer_form(request, form, act, page)


class ShowAgainForm(NeededToClose, MeterFields, HandsForm):
    """The on-coming face in its place."""

    to_face = forms.ModelChoiceField(
        Face.objects.none(), to_field_name="uid", label="Face that goes on"
    )
    place_code = PlaceCodeField(
        label="Code of the position",
        required=False,
        help_text="Only when it goes to another place, as at a second venue.",
    )
    done_at = moment_field("Back on show at")
    support = word_field(label="Support", words=SupportDone)
    support_fits = forms.BooleanField(label="Support fits this face", required=False)
    way_up_right = forms.BooleanField(label="The right way up", required=False)
    facsimile = word_field(label="Facsimile exchanged", words=SwapDone)
    caption = word_field(label="Caption exchanged", words=SwapDone)
    companions_named = forms.CharField(
        label="Companions in the case, by number",
        required=False,
        max_length=300,
        help_text="Each that belongs with it: lies as it did, or what was done to it.",
    )
    photo_after = photo_field("Photograph after")
    courier = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Courier present", required=False
    )
    needed = (
        "support",
        "support_fits",
        "way_up_right",
        "facsimile",
        "caption",
        "photo_after",
        "lux",
        "uv",
        "meter",
    )
    field_order = (
        "to_face",
        "place_code",
        "done_at",
        "support",
        "support_fits",
        "way_up_right",
        "facsimile",
        "caption",
        "companions_named",
        "photo_after",
        *MeterFields.meter_order,
        "courier",
    )


@signed_in
def show_again_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End the rotation: the on-coming face is shown, read and signed."""
    showing = seen_showing(request, uid)
    about = about_showing(showing)
    request.role_for(Deed.HANDLE, about)
    turn = open_turn(showing)
    place = turn.place if turn else showing.place
    form = ShowAgainForm(
        request.POST or None,
        request.FILES or None,
        initial={
            "done_at": request.at,
            "to_face": turn.to_face.uid if turn and turn.to_face else None,
        },
    )
    form.ask_whom(request)
    form.offer_meters(place)
    keep_what_was_seen(form, showing)
    fields: dict[str, Any] = form.fields
    fields["to_face"].queryset = Face.objects.filter(museum_object=showing.museum_object).order_by(
        "order", "pk"
    )
    fields["courier"].queryset = Person.objects.order_by("full_name", "pk")

    def act(data: dict[str, Any]) -> str:
        where = data["place_code"] or place
        if where is None:
            raise Refused(Reason("Scan the code of the position.", "place_code", "turn.place"))
        with hands_of(request, data, about) as (one, other):
            names = (
                "to_face",
                "support",
                "support_fits",
                "way_up_right",
                "facsimile",
                "caption",
                "companions_named",
                "courier",
            )
            done = show_again(
                one=one,
                other=other,
                at=request.at,
                showing=showing,
                shown=Shown(
                    place=where,
                    photo_after=photo_of(data["photo_after"]),
                    meter=meter_of(data),
                    **{name: data[name] for name in names},
                ),
                done_at=data["done_at"],
                seen_entry=data["seen_entry"],
            )
        return f"{done.turn_no}: {called(showing)} shows {data['to_face'].label}."

    page = FormPage(
        title=f"Show {called(showing)} again",
        submit="Show it, signed by two",
        back=showing_address(showing, "display"),
        draft=f"show-again-{showing.uid}",
        cautions=cautions_of(showing.museum_object, CautionFor.INSTALL),
        template="display/show_again.html",
        more={
            "showing": showing,
            "missing": before_work(request, showing, "show_again"),
            "turn": turn,
            "in_hand": [
                InHand.coming(
                    "Goes on, this way up", showing, turn.to_face if turn else None, place
                )
            ],
            "courier": courier_rule(showing, "turn"),
            "companions": companions_on_show(showing.museum_object_id),
        },
    )
    return answer_form(request, form, act, page)
