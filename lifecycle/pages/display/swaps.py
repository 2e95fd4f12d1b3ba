"""A swap in the gallery: one object out and carried off, another in its place."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse

from lifecycle.actions.display.installing import AS_PLANNED, Seen
from lifecycle.actions.display.rotating import Shown
from lifecycle.actions.display.swapping import ComingIn, swap
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.pages.display.hands import (
    HandsForm,
    MeterFields,
    hands_of,
    photo_field,
)
from lifecycle.pages.display.in_hand import InHand
from lifecycle.pages.display.install import meter_of, photo_of
from lifecycle.pages.display.seeing import (
    called,
    cautions_of_all,
    seen_showing,
    showing_address,
)
from lifecycle.pages.display.turns import other_person
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.reasons import before_work
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Stage
from lifecycle.queries.display.checks import (
    plan_of,
    planned_for,
    shown_now,
)
from lifecycle.queries.display.companions import companions_on_show
from lifecycle.queries.display.swaps import may_come_in, ways_off
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Movement, Place, Showing
from lifecycle.records.models.display.rotation import AppointmentKind, SupportDone, SwapDone


class SwapForm(MeterFields, HandsForm):
    """One object out and carried off, the other in, in one visit."""

    coming = forms.ModelChoiceField(
        Showing.objects.none(), to_field_name="uid", label="Object that goes in"
    )
    movement = forms.ModelChoiceField(
        Movement.objects.none(),
        to_field_name="uid",
        label="Movement that carries the other off",
        help_text="Planned and authorised before.",
    )
    started_at = moment_field("Taken out at")
    done_at = moment_field("Back on show at")
    reason = forms.CharField(label="Why now", required=False, max_length=300)
    as_planned = forms.BooleanField(label="The one that goes in is all as planned", required=False)
    photo = photo_field("Photograph of the one that goes in")
    field_order = (
        "coming",
        "movement",
        "started_at",
        "done_at",
        "reason",
        "as_planned",
        "photo",
        *MeterFields.meter_order,
    )


@signed_in
def swap_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Swap two objects in one position."""
    showing = seen_showing(request, uid)
    about = about_showing(showing)
    request.role_for(Deed.HANDLE, about)
    planned = planned_for(showing, (AppointmentKind.SWAP,))
    form = SwapForm(
        request.POST or None,
        request.FILES or None,
        initial={
            "started_at": request.at,
            "done_at": request.at,
            "coming": planned.other_showing.uid if planned and planned.other_showing else None,
            "second_person": other_person(planned, request.person),
        },
    )
    form.ask_whom(request)
    form.offer_meters(showing.place)
    fields: dict[str, Any] = form.fields
    coming = may_come_in(showing)
    fields["coming"].queryset = coming
    fields["coming"].label_from_instance = called
    fields["movement"].queryset = ways_off(showing)
    other = planned.other_showing if planned else None

    def act(data: dict[str, Any]) -> str:
        with hands_of(request, data, about) as (one, other):
            swap(
                one=one,
                other=other,
                at=request.at,
                going_out=showing,
                coming_in=_coming_in(data["coming"], data, showing.place),
                carried_off_with=data["movement"],
                started_at=data["started_at"],
                done_at=data["done_at"],
                appointment=planned,
                reason=data["reason"],
            )
        return f"{called(data['coming'])} is shown instead of {called(showing)}."

    page = FormPage(
        title=f"Swap {called(showing)}",
        submit="Swap, signed by two",
        back=showing_address(showing, "display"),
        draft=f"swap-{showing.uid}",
        cautions=cautions_of_all(
            [showing.museum_object, *(row.museum_object for row in coming)], CautionFor.INSTALL
        ),
        template="display/swap.html",
        more={
            "showing": showing,
            "missing": before_work(request, showing, "start_rotation"),
            "planned": planned,
            "in_hand": [
                InHand.shown("Comes off", showing, shown_now(showing)),
                InHand(
                    word="Goes in, this way up",
                    number=other.museum_object.object_number if other else "not chosen yet",
                    face=plan_of(other).face if other else None,
                ),
            ],
        },
    )
    return answer_form(request, form, act, page)


def _coming_in(coming: Showing, data: dict[str, Any], place: Place | None) -> ComingIn:
    """What was seen of the object that goes in: shown again after a rest, or installed."""
    face = plan_of(coming).face
    if face is None or place is None:
        raise Refused(Reason("No face or position is planned for it.", "coming", "swap.plan"))
    photo, meter, fine = photo_of(data["photo"]), meter_of(data), data["as_planned"]
    if coming.stage == Stage.ROTATION:
        shown = Shown(
            to_face=face,
            place=place,
            support=SupportDone.SAME if fine else None,
            support_fits=fine,
            way_up_right=fine,
            facsimile=SwapDone.DONE if fine else None,
            caption=SwapDone.DONE if fine else None,
            companions_named=", ".join(
                row.museum_object.object_number
                for row in companions_on_show(coming.museum_object_id)
            )
            if fine
            else "",
            photo_after=photo,
            meter=meter,
        )
        return ComingIn(showing=coming, face=face, shown=shown)
    base = AS_PLANNED if fine else Seen()
    seen = Seen(
        matches_tag=base.matches_tag,
        arrival=base.arrival,
        face_right=base.face_right,
        way_up_right=base.way_up_right,
        mount_fits=base.mount_fits,
        caption=base.caption,
        facsimile=base.facsimile,
        photo=photo,
        meter=meter,
    )
    return ComingIn(showing=coming, face=face, seen=seen)
