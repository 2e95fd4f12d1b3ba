"""Install one object, from a phone or tablet in the gallery."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from lifecycle.actions.display.installing import Seen, install, open_check
from lifecycle.actions.display.pairs import pair_of
from lifecycle.actions.display.photos import Photo
from lifecycle.actions.display.reading import MeterSays
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.pages.display.hands import (
    HandsForm,
    MeterFields,
    NeededToClose,
    hands_of,
    photo_field,
)
from lifecycle.pages.display.in_hand import InHand
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
from lifecycle.process.rights import RIGHTS, Deed
from lifecycle.queries.display.checks import courier_rule, open_check_of, plan_of
from lifecycle.queries.find import code_hit
from lifecycle.queries.light.ceilings import case_with
from lifecycle.queries.rights import about_showing, about_work_at
from lifecycle.records.models import Face, Person, Place, Showing
from lifecycle.records.models.display.install import ArrivalCompared, Fitted


class PlaceCodeField(forms.CharField):
    """The place by the short code on its label, scanned or typed."""

    def clean(self, value: Any) -> Place | None:
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        hit = code_hit(text)
        place = Place.objects.filter(uid=hit.uid).first() if hit and hit.table == "place" else None
        if place is None:
            raise forms.ValidationError(f"“{text}” is the short code of no place.")
        return place


class InstallForm(NeededToClose, MeterFields, HandsForm):
    """The install check of one object, with every starred line of the paper."""

    place_code = PlaceCodeField(
        label="Code of the position", required=False, help_text="Scan or type the label's code."
    )
    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Face shown")
    observed_at = moment_field("When")
    matches_tag = forms.BooleanField(label="Object matches tag and picture", required=False)
    arrival = word_field(label="Condition at arrival", words=ArrivalCompared)
    face_right = forms.BooleanField(label="The planned face is to be seen", required=False)
    way_up_right = forms.BooleanField(label="The right way up", required=False)
    photo = photo_field("Photograph in its place")
    mount_fits = forms.BooleanField(label="Mount fits, no stress", required=False)
    caption = word_field(label="Caption", words=Fitted)
    facsimile = word_field(label="Facsimile beside it", words=Fitted)
    case_rh = forms.DecimalField(
        label="Humidity in the case at closing [%]",
        min_value=0,
        max_value=100,
        max_digits=4,
        decimal_places=1,
        required=False,
    )
    case_t_c = forms.DecimalField(
        label="Temperature in the case at closing [°C]",
        max_digits=4,
        decimal_places=1,
        required=False,
    )
    courier = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Courier present", required=False
    )
    courier_note = forms.CharField(label="Note on the courier", required=False, max_length=300)
    exception = forms.CharField(
        label="What is not as planned",
        required=False,
        max_length=300,
        help_text="Leaves the check open until it is put right.",
    )
    deviation = forms.CharField(
        label="Accepted as different from the plan", required=False, max_length=300
    )
    deviation_accepted_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Accepted by", required=False
    )

    needed = (
        "matches_tag",
        "arrival",
        "face_right",
        "way_up_right",
        "photo",
        "mount_fits",
        "lux",
        "uv",
        "meter",
        "caption",
        "facsimile",
    )
    field_order = (
        "place_code",
        "face",
        "observed_at",
        "matches_tag",
        "arrival",
        "face_right",
        "way_up_right",
        "photo",
        "mount_fits",
        *MeterFields.meter_order,
        "caption",
        "facsimile",
        "case_rh",
        "case_t_c",
        "courier",
        "courier_note",
        "exception",
        "deviation",
        "deviation_accepted_by",
    )

    def fill(self, showing: Showing) -> None:
        fields: dict[str, Any] = self.fields
        fields["face"].queryset = Face.objects.filter(museum_object=showing.museum_object).order_by(
            "order", "pk"
        )
        everybody = Person.objects.order_by("full_name", "pk")
        fields["courier"].queryset = everybody
        fields["deviation_accepted_by"].queryset = everybody

    def seen(self) -> Seen:
        data = self.cleaned_data
        return Seen(
            photo=photo_of(data.get("photo")),
            meter=meter_of(data),
            **{
                name: data[name]
                for name in (
                    "matches_tag",
                    "arrival",
                    "face_right",
                    "way_up_right",
                    "mount_fits",
                    "caption",
                    "facsimile",
                    "case_rh",
                    "case_t_c",
                    "courier",
                    "courier_note",
                    "exception",
                    "deviation",
                    "deviation_accepted_by",
                )
            },
        )


def photo_of(sent: Any) -> Photo | None:
    """The bytes of an uploaded photograph."""
    return None if sent is None else Photo(data=sent.read(), name=sent.name)


def meter_of(data: dict[str, Any], prefix: str = "") -> MeterSays:
    return MeterSays(
        lux=data.get(f"{prefix}lux"),
        uv=data.get(f"{prefix}uv"),
        point=data.get(f"{prefix}point"),
        meter=data.get(f"{prefix}meter"),
        sure=bool(data.get(f"{prefix}sure")),
    )


@signed_in
def install_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The install check of one object; closed and signed by two it is on display."""
    showing = seen_showing(request, uid)
    about = about_showing(showing)
    request.role_for(Deed.HANDLE, about)
    plan = plan_of(showing)
    check = open_check_of(showing)
    form = InstallForm(
        request.POST or None,
        request.FILES or None,
        initial={
            "face": plan.face.uid if plan.face else None,
            "observed_at": request.at,
            "second_person": plan.other_than(request.person),
        },
    )
    form.ask_whom(request)
    form.offer_meters(plan.place)
    form.fill(showing)
    keep_what_was_seen(form, showing)

    def act(data: dict[str, Any]) -> str:
        place = data["place_code"] or plan.place
        if place is None:
            raise Refused(Reason("Scan the code of the position.", "place_code", "install.place"))
        with hands_of(request, data, about) as (one, other):
            if "keep_open" in request.POST:
                open_check(
                    pair=pair_of(one, other),
                    at=request.at,
                    showing=showing,
                    face=data["face"],
                    place=place,
                    seen=form.seen(),
                    begun_at=data["observed_at"],
                )
                return f"The check of {called(showing)} stays open."
            install(
                one=one,
                other=other,
                at=request.at,
                showing=showing,
                face=data["face"],
                place=place,
                seen=form.seen(),
                observed_at=data["observed_at"],
                seen_entry=data["seen_entry"],
            )
        return f"{called(showing)} is on display in {place.name}."

    page = FormPage(
        title=f"Install {called(showing)}",
        submit="Close the check and sign",
        back=showing_address(showing, "display"),
        draft=f"install-{showing.uid}",
        cautions=cautions_of(showing.museum_object, CautionFor.INSTALL),
        template="display/install.html",
        more={
            "showing": showing,
            "missing": before_work(request, showing, "install"),
            "plan": plan,
            "in_hand": [InHand.coming("This face, this way up", showing, plan.face, plan.place)],
            "check": check,
            "courier": courier_rule(showing, "install"),
            "case": None if plan.place is None else case_with(showing, plan.place, request.at),
        },
    )
    return answer_form(request, form, act, page)


def may_install(request: SignedInRequest) -> bool:
    """Whether one of this person's posts handles objects at all, be it in their own jobs only."""
    return bool(request.facts.roles & RIGHTS[Deed.HANDLE].keys())


@signed_in
def install_by_code(request: SignedInRequest) -> HttpResponse:
    """Find the case by its printed short code, and go to its install page."""

    class CodeForm(forms.Form):
        place_code = PlaceCodeField(
            label="Code of the case or position",
            help_text="Scan or type the code on its label: seven letters.",
        )

    if not may_install(request):
        request.role_for(Deed.HANDLE)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        place = form.cleaned_data["place_code"]
        if request.may(Deed.HANDLE, about_work_at(place)):
            return redirect(reverse("install-case", args=[place.uid]))
        text = (
            f"You have no post for {place.name} and are not named for anything planned there: "
            "ask for a day with your name."
        )
        form.add_error("place_code", text)
    page = FormPage(
        title="Install a case",
        submit="Go to the case",
        back=reverse("calendar"),
        template="display/gallery_form.html",
    )
    return answer_form(request, form, lambda data: "", page)
