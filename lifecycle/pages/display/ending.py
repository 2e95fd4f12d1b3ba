"""Withdraw, send home, pass on, take over."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.display.going_home import pass_on, send_home
from lifecycle.actions.display.taking_over import MISSING, Stated, take_over
from lifecycle.actions.display.withdrawing import withdraw
from lifecycle.actions.pictures import store_document
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import ObjectNumberField, PlaceField
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.reasons import before_work
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.saying import TAKEN_OVER_INTO
from lifecycle.process.stages import CLOSED, Stage
from lifecycle.process.words import Certainty
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.hands import conservators_on
from lifecycle.queries.light import rest_of_showing
from lifecycle.queries.movements import on_showing as movements_on_showing
from lifecycle.queries.rights import about_exhibition, about_showing, museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Exhibition, Face, Movement, Person, Showing
from lifecycle.records.models.display.ending import SubstituteKind


class WithdrawForm(forms.Form):
    """Why, and what stands in."""

    reason = forms.CharField(label="Why", widget=forms.Textarea(attrs={"rows": 3}))
    substitute = forms.TypedChoiceField(
        label="What stands in", choices=choices(SubstituteKind), coerce=SubstituteKind
    )
    substitute_object = ObjectNumberField(label="Object that stands in", required=False)
    substitute_note = forms.CharField(
        label="Facsimile that stands in", max_length=200, required=False
    )


@signed_in
def withdraw_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take the object off the list before display."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.CHOOSE, about_showing(showing))
    form = WithdrawForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        withdraw(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{called(showing)} is withdrawn."

    here = showing.museum_object.current_location
    page = FormPage(
        title=f"Withdraw {called(showing)}",
        submit="Withdraw",
        back=showing_address(showing, "display"),
        lead=f"It is on record in {here.name}." if here else "",
        template="display/withdraw.html",
        more={"missing": before_work(request, showing, "withdraw")},
    )
    return answer_form(request, form, act, page)


@signed_in
def send_home_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Close the file: the object is home, its resting day is computed and kept."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.REGISTER, about_showing(showing))
    form = forms.Form(request.POST if request.method == "POST" else None)
    facts = facts_of_one(showing, request.at)

    def act(_: dict[str, Any]) -> str:
        send_home(by=request.person, role=role, at=request.at, showing=showing)
        return f"{called(showing)} is home; the file of {showing.request_no} is closed."

    page = FormPage(
        title=f"Send {called(showing)} home",
        submit="Close the file",
        back=showing_address(showing),
        cautions=cautions_of(showing.museum_object, CautionFor.MOVE),
        template="display/send_home.html",
        more={
            "showing": showing,
            "movements": movements_on_showing(showing, request.at),
            "missing": before_work(request, showing, "send_home", facts),
            "rest": rest_of_showing(showing, request.at),
            "at_home": facts.object.at_home,
        },
    )
    return answer_form(request, form, act, page)


class PassOnForm(forms.Form):
    """To which showing, by which movement, in what."""

    coming = forms.ModelChoiceField(
        Showing.objects.none(), to_field_name="uid", label="Next showing"
    )
    movement = forms.ModelChoiceField(
        Movement.objects.none(), to_field_name="uid", label="Movement that carries it on"
    )
    travel_housing = forms.CharField(label="Housing it travels in", max_length=200)
    conservator = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Conservator"
    )


@signed_in
def pass_on_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End this showing as the next begins, with one movement between them."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.REGISTER, about_showing(showing))
    form = PassOnForm(request.POST or None)
    fields: dict[str, Any] = form.fields
    fields["coming"].queryset = (
        Showing.objects.filter(museum_object=showing.museum_object)
        .exclude(pk=showing.pk)
        .exclude(stage__in=sorted(CLOSED))
        .select_related("exhibition")
        .order_by("show_from", "pk")
    )
    fields["coming"].label_from_instance = lambda row: f"{row.request_no} {row.exhibition.title}"
    fields["movement"].queryset = Movement.objects.filter(
        lines__showing=showing, cancelled_at=None
    ).order_by("-pk")
    fields["conservator"].queryset = conservators_on(museum_day(request.at))

    def act(data: dict[str, Any]) -> str:
        row = pass_on(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{called(showing)} goes on to {row.to_showing.request_no}."

    page = FormPage(
        title=f"Pass {called(showing)} on",
        submit="Pass on",
        back=showing_address(showing),
        cautions=cautions_of(showing.museum_object, CautionFor.MOVE),
        lead="Part B serves as the next baseline when it is younger than 30 days.",
    )
    return answer_form(request, form, act, page)


class TakeOverForm(forms.Form):
    """What already hangs, as far as it is known."""

    museum_object = ObjectNumberField(label="Object number")
    face = forms.CharField(label="Face shown", max_length=80, help_text="Its label, as on record.")
    place = PlaceField(label="Where it is")
    to = forms.TypedChoiceField(
        label="At which stage",
        choices=[(stage.value, stage.label) for stage in Stage if stage in TAKEN_OVER_INTO],
        coerce=Stage,
    )
    since_from = moment_field("There since, at the earliest")
    since_to = moment_field("There since, at the latest", required=False)
    since_certainty = forms.TypedChoiceField(
        label="How well that is known", choices=choices(Certainty), coerce=Certainty
    )
    last_report = forms.CharField(
        label="Last condition report", max_length=200, required=False, help_text="Number and date."
    )
    last_report_scan = forms.FileField(label="Its scan", required=False)
    no_report_known = forms.BooleanField(label="No report is known", required=False)
    light_low = forms.IntegerField(label="Light so far, low [lx·h]", min_value=0)
    light_likely = forms.IntegerField(label="Light so far, likely [lx·h]", min_value=0)
    light_high = forms.IntegerField(label="Light so far, high [lx·h]", min_value=0)
    light_basis = forms.CharField(label="Estimated from", max_length=500)
    missing = forms.MultipleChoiceField(
        label="What is missing",
        required=False,
        choices=list(MISSING.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text="It is listed as missing and never signed backwards. None ticked: nothing is.",
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}))
    conservator = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Conservator"
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        thing, label = data.get("museum_object"), data.get("face")
        if thing is not None and label:
            face = Face.objects.filter(museum_object=thing, label__iexact=label).first()
            if face is None:
                self.add_error("face", f"{thing.object_number} has no face “{label}” on record.")
            data["face"] = face
        return data


@signed_in
def take_over_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Enter what hangs already when the museum begins with its record."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    role = request.role_for(Deed.REGISTER, about_exhibition(exhibition))
    form = TakeOverForm(request.POST or None, request.FILES or None)
    fields: dict[str, Any] = form.fields
    fields["place"].fill()
    fields["conservator"].queryset = conservators_on(museum_day(request.at))

    @transaction.atomic
    def act(data: dict[str, Any]) -> Done:
        scan = data["last_report_scan"]
        document = None
        if scan is not None:
            document = store_document(
                data=scan.read(),
                name=scan.name,
                title=data["last_report"] or "Last condition report",
                by=request.person,
                role=role,
                at=request.at,
                field="last_report_scan",
            )
        names = set(Stated.__dataclass_fields__) - {"last_report_scan"}
        showing = take_over(
            by=request.person,
            role=role,
            at=request.at,
            exhibition=exhibition,
            museum_object=data["museum_object"],
            said=Stated(last_report_scan=document, **{name: data[name] for name in names}),
            conservator=data["conservator"],
        )
        return Done(f"{called(showing)} is taken over.", showing_address(showing))

    page = FormPage(
        title=f"Take over into {exhibition.title}",
        submit="Take over",
        back=reverse("exhibition", args=[exhibition.uid]),
        lead="Only inside the taking-over period of the house rules.",
        draft=f"take-over-{exhibition.uid}",
    )
    return answer_form(request, form, act, page)
