"""Take an object off display: part A first, then the last light, lamps off, who has it now."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse

from lifecycle.actions.display.taking_down import Found, take_down
from lifecycle.pages.display.hands import MeterFields, role_in_hand
from lifecycle.pages.display.in_hand import InHand
from lifecycle.pages.display.install import meter_of
from lifecycle.pages.display.seeing import (
    called,
    cautions_of,
    keep_what_was_seen,
    seen_showing,
    showing_address,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.display.take_downs import before_take_down
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.rights import about_showing, museum_day, person_facts
from lifecycle.records.base import choices
from lifecycle.records.models import Person, Showing
from lifecycle.records.models.display.ending import FacsimileOut, FoundAs, MountFate


class TakeDownForm(MeterFields):
    """The facts at the case; part A is a page of its own."""

    second_person = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Second person",
        required=False,
        help_text="One of the two is a conservator, except in an emergency.",
    )
    taken_down_at = moment_field("Taken down at")
    lamps_off_at = moment_field("Lamps off at")
    no_lux_because = forms.CharField(
        label="No last reading, because", required=False, max_length=300
    )
    found = forms.TypedChoiceField(label="Found", choices=choices(FoundAs), coerce=FoundAs)
    found_note = forms.CharField(label="How it had slipped", required=False, max_length=300)
    pests_seen = forms.BooleanField(label="Insects or traces seen", required=False)
    pest_note = forms.CharField(label="Which", required=False, max_length=300)
    trap_count = forms.IntegerField(label="Trap count", required=False, min_value=0)
    mount = forms.TypedChoiceField(label="Mount", choices=choices(MountFate), coerce=MountFate)
    facsimile = forms.TypedChoiceField(
        label="Facsimile", choices=choices(FacsimileOut), coerce=FacsimileOut
    )
    companions_named = forms.CharField(
        label="Companions taken down with it", required=False, max_length=300
    )
    handed_to = forms.CharField(label="Handed to", max_length=200)
    early_reason = forms.CharField(label="Why it comes down early", required=False, max_length=500)
    curator_told_at = moment_field("Curator told at", required=False)
    lender_told_at = moment_field("Lender told at", required=False)
    emergency = forms.BooleanField(
        label="Emergency: part A follows within the hour", required=False
    )
    field_order = (
        "taken_down_at",
        "lamps_off_at",
        *MeterFields.meter_order,
        "no_lux_because",
        "found",
        "found_note",
        "pests_seen",
        "pest_note",
        "trap_count",
        "mount",
        "facsimile",
        "companions_named",
        "handed_to",
        "second_person",
        "early_reason",
        "curator_told_at",
        "lender_told_at",
        "emergency",
    )

    def ask_whom(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        able = [p.pk for p in people_with_hands(museum_day(request.at))]
        fields["second_person"].queryset = (
            Person.objects.filter(pk__in=able)
            .exclude(pk=request.person.pk)
            .order_by("full_name", "pk")
        )

    def found_facts(self) -> Found:
        data = self.cleaned_data
        names = set(Found.__dataclass_fields__) - {"meter"}
        return Found(meter=meter_of(data), **{name: data[name] for name in names})


def _second_role(person: Person | None, request: SignedInRequest, showing: Showing) -> Role | None:
    if person is None:
        return None
    about = about_showing(showing, at_take_down=True)
    return role_in_hand(person_facts(person, request.at), about, Deed.PART_A)


@signed_in
def take_down_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take down: open to any conservator, registrar or technician on duty."""
    showing = seen_showing_at_take_down(request, uid)
    about = about_showing(showing, at_take_down=True)
    role = role_in_hand(request.facts, about, Deed.PART_A) or request.role_for(Deed.PART_A, about)
    before = before_take_down(showing, request.at)
    form = TakeDownForm(
        request.POST or None,
        initial={
            "taken_down_at": request.at,
            "lamps_off_at": request.at,
            "found": before.found,
        },
    )
    form.ask_whom(request)
    form.offer_meters(showing.place)
    keep_what_was_seen(form, showing)

    def act(data: dict[str, Any]) -> str:
        second = data["second_person"]
        row = take_down(
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            said=form.found_facts(),
            second=second,
            second_role=_second_role(second, request, showing),
            seen_entry=data["seen_entry"],
        )
        follows = " Part A follows within the hour." if row.part_a_id is None else ""
        return f"{called(showing)} is taken down.{follows}"

    page = FormPage(
        title=f"Take down {called(showing)}",
        submit="It is taken down",
        back=showing_address(showing, "display"),
        draft=f"take-down-{showing.uid}",
        cautions=cautions_of(showing.museum_object, CautionFor.TAKE_DOWN),
        template="display/take_down.html",
        more={
            "showing": showing,
            "before": before,
            "in_hand": [InHand.shown("Comes down", showing, before.shown)],
        },
    )
    return answer_form(request, form, act, page)


def seen_showing_at_take_down(request: SignedInRequest, uid: UUID) -> Showing:
    """The showing, also for those who have no other job on it but are there when it comes down."""
    showing = Showing.objects.filter(uid=uid).first()
    if showing is not None and request.may(Deed.PART_A, about_showing(showing, at_take_down=True)):
        return Showing.objects.select_related(
            "museum_object__current_location", "museum_object__lender", "exhibition", "place"
        ).get(pk=showing.pk)
    return seen_showing(request, uid)
