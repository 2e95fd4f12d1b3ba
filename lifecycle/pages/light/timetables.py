"""Lit hours: timetables, their weekly spans and dated exceptions."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.timetables import (
    WEEKDAYS,
    TimetableDetails,
    add_exception,
    add_span,
    add_timetable,
    change_timetable,
    retire_span,
    strike_exception,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.words import LitPurpose
from lifecycle.queries.light.timetables import every_timetable, timetable_on_record
from lifecycle.queries.rights import museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import LitException, LitSpan, LitTimetable
from lifecycle.records.models.places import TimetableSource

KEEPERS = (Deed.SCHEDULE, Deed.STEWARD)
CLOCK = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


def clock_field(label: str, *, required: bool = True, help_text: str = "") -> forms.TimeField:
    """A time of the wall clock."""
    return forms.TimeField(label=label, required=required, help_text=help_text, widget=CLOCK)


class TimetableForm(forms.Form):
    """A timetable without its spans."""

    name = forms.CharField(label="Name", max_length=120)
    source = forms.TypedChoiceField(
        label="Source", choices=choices(TimetableSource), coerce=TimetableSource
    )
    cover_factor_percent = forms.IntegerField(
        label="Share that gets through, %",
        min_value=0,
        max_value=100,
        initial=100,
        help_text="Curtain, drawer, push-button light; 100 where nothing covers it.",
    )
    cover_basis = forms.CharField(label="How that was estimated", max_length=200, required=False)

    def details(self) -> TimetableDetails:
        names = TimetableDetails.__dataclass_fields__
        return TimetableDetails(**{name: self.cleaned_data[name] for name in names})


class TimetableChangeForm(TimetableForm):
    why = forms.CharField(label="Why it changes", max_length=200)


class SpanForm(forms.Form):
    """One span of local time on some weekdays."""

    weekdays = forms.TypedMultipleChoiceField(
        label="Weekdays",
        choices=list(enumerate(WEEKDAYS)),
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
    )
    purpose = forms.TypedChoiceField(
        label="Lit for", choices=choices(LitPurpose), coerce=LitPurpose
    )
    starts = clock_field("From")
    ends = clock_field("To", help_text="00:00 is the midnight after.")
    from_on = day_field("First day", required=False, help_text="Empty: it always was so.")


class EndForm(forms.Form):
    """The first day without these hours, and why."""

    from_on = day_field("First day without it")
    why = forms.CharField(label="Why", max_length=200)


class ExceptionForm(forms.Form):
    """A day that is different."""

    DARK, ADDS, INSTEAD = "dark", "adds", "instead"
    on = day_field("Day")
    kind = forms.ChoiceField(
        label="What is different",
        widget=forms.RadioSelect,
        choices=[
            (ADDS, "lit longer: added to the week's hours"),
            (INSTEAD, "other hours instead of the week's"),
            (DARK, "dark all day"),
        ],
        initial=ADDS,
    )
    purpose = forms.TypedChoiceField(
        label="Lit for", choices=choices(LitPurpose), coerce=LitPurpose, required=False,
        empty_value=LitPurpose.PUBLIC,
    )  # fmt: skip
    starts = clock_field("From", required=False)
    ends = clock_field("To", required=False, help_text="00:00 is the midnight after.")
    reason = forms.CharField(label="Why", max_length=200, help_text="“Late opening”, “filming”.")


class WhyForm(forms.Form):
    why = forms.CharField(label="Why it does not hold", max_length=200)


@require_GET
@signed_in
def timetables(request: SignedInRequest) -> HttpResponse:
    """Every timetable with its hours a week and where it is used."""
    role_for_one_of(request, (Deed.WALK, Deed.STEWARD))
    context = {
        "tables": every_timetable(museum_day(request.at)),
        "may_schedule": may_one_of(request, KEEPERS),
    }
    return render(request, "light/timetables.html", context)


@require_GET
@signed_in
def timetable(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One timetable: its week, its exceptions, its lit and public hours."""
    role_for_one_of(request, (Deed.WALK, Deed.STEWARD))
    row = get_object_or_404(LitTimetable, uid=uid)
    context = {
        "table": row,
        "record": timetable_on_record(row, museum_day(request.at)),
        "may_schedule": may_one_of(request, KEEPERS),
    }
    return render(request, "light/timetable.html", context)


def _back(row: LitTimetable) -> str:
    return reverse("timetable", args=[row.uid])


@signed_in
def timetable_new(request: SignedInRequest) -> HttpResponse:
    role = role_for_one_of(request, KEEPERS)
    form = TimetableForm(request.POST or None)

    def act(data: dict[str, Any]) -> Done:
        made = add_timetable(by=request.person, role=role, at=request.at, details=form.details())
        return Done(f"{made.name} is on record: enter its hours.", _back(made))

    page = FormPage(title="New timetable", submit="Enter it", back=reverse("timetables"))
    return answer_form(request, form, act, page)


@signed_in
def timetable_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    row = get_object_or_404(LitTimetable, uid=uid)
    role = role_for_one_of(request, KEEPERS)
    initial = {name: getattr(row, name) for name in TimetableDetails.__dataclass_fields__}
    form = TimetableChangeForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        change_timetable(
            by=request.person,
            role=role,
            at=request.at,
            timetable=row,
            details=form.details(),
            why=data["why"],
        )
        return f"{row.name} is changed; accounts follow."

    page = FormPage(
        title=f"Change {row.name}",
        submit="Change it",
        back=_back(row),
        lead="A change here corrects the past too. For a new curtain or new hours from today, end "
        "the weekly hours, or make a new timetable and give it to the place.",
    )
    return answer_form(request, form, act, page)


@signed_in
def span_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    row = get_object_or_404(LitTimetable, uid=uid)
    role = role_for_one_of(request, KEEPERS)
    form = SpanForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        made = add_span(by=request.person, role=role, at=request.at, timetable=row, **data)
        days = ", ".join(WEEKDAYS[one.weekday] for one in made)
        hours = f"{made[0].starts:%H:%M} to {made[0].ends:%H:%M}"
        return f"Lit {hours} ({made[0].get_purpose_display()}) is entered for {days}."

    page = FormPage(
        title=f"Lit hours of {row.name}",
        submit="Enter the hours",
        back=_back(row),
        lead="Local time. Spans that overlap are not added up: the brightest light counts.",
    )
    return answer_form(request, form, act, page)


@signed_in
def span_retire(request: SignedInRequest, uid: UUID) -> HttpResponse:
    span = get_object_or_404(LitSpan.objects.select_related("timetable"), uid=uid)
    role = role_for_one_of(request, KEEPERS)
    form = EndForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        retire_span(by=request.person, role=role, at=request.at, span=span, **data)
        return "The hours end; what they lit before stays charged."

    page = FormPage(
        title=f"End these hours of {span.timetable.name}",
        submit="End the hours",
        back=_back(span.timetable),
        lead=f"{WEEKDAYS[span.weekday]}, {span.get_purpose_display()}, "
        f"{span.starts:%H:%M} to {span.ends:%H:%M}.",
    )
    return answer_form(request, form, act, page)


@signed_in
def exception_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    row = get_object_or_404(LitTimetable, uid=uid)
    role = role_for_one_of(request, KEEPERS)
    form = ExceptionForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        add_exception(
            by=request.person,
            role=role,
            at=request.at,
            timetable=row,
            on=data["on"],
            dark=data["kind"] == ExceptionForm.DARK,
            adds=data["kind"] == ExceptionForm.ADDS,
            purpose=data["purpose"],
            starts=data["starts"],
            ends=data["ends"],
            reason=data["reason"],
        )
        return f"{day_words(data['on'])} is different; accounts and last days follow."

    page = FormPage(title=f"A day of {row.name}", submit="Enter the day", back=_back(row))
    return answer_form(request, form, act, page)


@signed_in
def exception_strike(request: SignedInRequest, uid: UUID) -> HttpResponse:
    row = get_object_or_404(LitException.objects.select_related("timetable"), uid=uid)
    role = role_for_one_of(request, KEEPERS)
    form = WhyForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        strike_exception(by=request.person, role=role, at=request.at, exception=row, **data)
        return "The exception is struck; it stays readable."

    page = FormPage(
        title=f"Strike the exception of {day_words(row.on)}",
        submit="Strike it",
        back=_back(row.timetable),
        lead=row.reason,
    )
    return answer_form(request, form, act, page)
