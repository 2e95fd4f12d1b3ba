"""Plan a day, move it with a reason, call it off."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from lifecycle.actions.display.appointments import (
    Plan,
    cancel_appointment,
    move_appointment,
    plan_appointment,
)
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.pages.display.seeing import called, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.planning.turn_days import why_this_day
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED
from lifecycle.queries.calendar import day_of, with_all
from lifecycle.queries.display.beginnings import day_on
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.light.turning import Wish, turn_days_of
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Appointment, Face, Person, Showing
from lifecycle.records.models.display.rotation import AppointmentKind


def _able(request: SignedInRequest) -> Any:
    able = [p.pk for p in people_with_hands(museum_day(request.at))]
    return Person.objects.filter(pk__in=able).order_by("full_name", "pk")


class PlanForm(forms.Form):
    """What, when, where, by whom."""

    kind = forms.TypedChoiceField(
        label="What", choices=choices(AppointmentKind), coerce=AppointmentKind
    )
    day = day_field("Day")
    slot = forms.TimeField(
        label="Time",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}),
        help_text="Before opening, if the day is open.",
    )
    place = PlaceField(label="Place")
    from_face = forms.ModelChoiceField(
        Face.objects.none(), to_field_name="uid", label="Face that comes off", required=False
    )
    to_face = forms.ModelChoiceField(
        Face.objects.none(), to_field_name="uid", label="Face that goes on", required=False
    )
    other_showing = forms.ModelChoiceField(
        Showing.objects.none(),
        to_field_name="uid",
        label="Object that goes in (swap)",
        required=False,
    )
    person_1 = forms.ModelChoiceField(Person.objects.none(), to_field_name="uid", label="First")
    person_2 = forms.ModelChoiceField(Person.objects.none(), to_field_name="uid", label="Second")
    reason = forms.CharField(
        label="Why this day",
        required=False,
        max_length=700,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Kept beside the day; it stands on Today and on the turn instruction.",
    )

    def fill(self, request: SignedInRequest, showing: Showing) -> None:
        fields: dict[str, Any] = self.fields
        fields["place"].fill(likely=[showing.place] if showing.place else [])
        faces = Face.objects.filter(museum_object=showing.museum_object).order_by("order", "pk")
        fields["from_face"].queryset = faces
        others = (
            Showing.objects.filter(exhibition=showing.exhibition)
            .exclude(pk=showing.pk)
            .exclude(stage__in=sorted(CLOSED))
            .select_related("museum_object")
            .order_by("museum_object__object_number", "pk")
        )
        fields["other_showing"].queryset = others
        fields["other_showing"].label_from_instance = called
        fields["to_face"].queryset = (
            (
                Face.objects.filter(museum_object=showing.museum_object)
                | Face.objects.filter(museum_object__in=others.values("museum_object"))
            )
            .select_related("museum_object")
            .order_by("museum_object__object_number", "order", "pk")
        )
        fields["to_face"].label_from_instance = lambda face: (
            f"{face.museum_object.object_number} {face.label}"
        )
        fields["person_1"].queryset = _able(request)
        fields["person_2"].queryset = _able(request)


def _day_asked(request: SignedInRequest) -> date | None:
    """The day a page of turn days sent here, if it is one."""
    try:
        return date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return None


def _why(request: SignedInRequest, showing: Showing, kind: AppointmentKind) -> str:
    """What a page of turn days knows of the day it sent here; to be changed by who plans it."""
    day = _day_asked(request)
    if request.method != "GET" or day is None or kind is not AppointmentKind.TURN:
        return ""
    answer = turn_days_of(showing, request.at, Wish()).answer
    return "" if answer is None else why_this_day(answer, day)


@signed_in
def appointment_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Plan a day for this showing."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.SCHEDULE, about_showing(showing))
    asked = request.GET.get("kind", "")
    proposed = day_on(
        showing,
        museum_day(request.at),
        AppointmentKind(asked) if asked in set(AppointmentKind) else None,
    )
    form = PlanForm(
        request.POST or None,
        initial={
            "kind": proposed.kind,
            "day": _day_asked(request) or proposed.day,
            "place": str(showing.place.uid) if showing.place else "",
            "from_face": proposed.from_face.uid if proposed.from_face else None,
            "to_face": proposed.to_face.uid if proposed.to_face else None,
            "person_1": request.person.uid,
            "reason": _why(request, showing, proposed.kind),
        },
    )
    form.fill(request, showing)

    def act(data: dict[str, Any]) -> str:
        row = plan_appointment(
            by=request.person, role=role, at=request.at, showing=showing, plan=Plan(**data)
        )
        return f"{row.appointment_no}: {AppointmentKind(row.kind).label} on {day_words(row.day)}."

    page = FormPage(
        title=f"Plan a day for {called(showing)}",
        submit="Plan it",
        back=showing_address(showing, "display"),
        lead="Two people by name, on a day when the lamps and the staff allow it.",
        draft=f"appointment-{showing.uid}",
    )
    return answer_form(request, form, act, page)


class MoveForm(forms.Form):
    """Another day, or other people, and who agreed."""

    day = day_field("New day")
    reason = forms.CharField(label="Why", max_length=500)
    agreed_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Agreed by"
    )
    person_1 = forms.ModelChoiceField(Person.objects.none(), to_field_name="uid", label="First")
    person_2 = forms.ModelChoiceField(Person.objects.none(), to_field_name="uid", label="Second")


def _appointment(request: SignedInRequest, uid: UUID) -> tuple[Appointment, Showing]:
    row = get_object_or_404(with_all(Appointment.objects.all()), uid=uid)
    return row, seen_showing(request, row.showing.uid)


@signed_in
def appointment_move(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Move a planned day with a reason, or give it other people."""
    row, showing = _appointment(request, uid)
    role = request.role_for(Deed.SCHEDULE, about_showing(showing))
    form = MoveForm(
        request.POST or None,
        initial={"day": row.day, "person_1": row.person_1.uid, "person_2": row.person_2.uid},
    )
    fields: dict[str, Any] = form.fields
    people = _able(request) | Person.objects.filter(pk__in=[row.person_1_id, row.person_2_id])
    fields["person_1"].queryset = people.distinct()
    fields["person_2"].queryset = people.distinct()
    fields["agreed_by"].queryset = Person.objects.filter(account__isnull=False).order_by(
        "full_name", "pk"
    )

    def act(data: dict[str, Any]) -> str:
        moved = move_appointment(
            by=request.person, role=role, at=request.at, appointment=row, **data
        )
        return f"{moved.appointment_no} is on {day_words(moved.day)} now."

    page = FormPage(
        title=f"Move {row.appointment_no}: {called(showing)}",
        submit="Move it",
        back=showing_address(showing, "display"),
        template="display/appointment_move.html",
        more={"day": day_of(row, request.at), "showing": showing},
    )
    return answer_form(request, form, act, page)


class CancelForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=500)


@signed_in
def appointment_cancel(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Call off a planned day."""
    row, showing = _appointment(request, uid)
    role = request.role_for(Deed.SCHEDULE, about_showing(showing))
    form = CancelForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        if not data["reason"].strip():
            raise Refused(Reason("Say why it is called off.", "reason"))
        cancel_appointment(
            by=request.person, role=role, at=request.at, appointment=row, reason=data["reason"]
        )
        return f"{row.appointment_no} is called off."

    page = FormPage(
        title=f"Call off {row.appointment_no}: {called(showing)}",
        submit="Call it off",
        back=showing_address(showing, "display"),
    )
    return answer_form(request, form, act, page)
