"""In the gallery: find a place by its code, read light and air there, report what changed."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.light import (
    correct_reading,
    read_climate,
    report_light_event,
    take_reading,
)
from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.places import POINT_KEEPERS
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, may_one_of
from lifecycle.pages.light.forms import ClimateForm, CorrectionForm, EventForm, ReadingForm
from lifecycle.pages.lists_as_tables import readings_table
from lifecycle.pages.plan_drawings import shown_plan
from lifecycle.pages.tables_out import wanted_file
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty, PlaceKind
from lifecycle.queries.find import code_hit
from lifecycle.queries.light.pages import at_place, last_read_at, readings_at
from lifecycle.queries.light.points import hazards_shown_in
from lifecycle.queries.light.reach import Reached, reached_by
from lifecycle.queries.light.walking import own_walk
from lifecycle.queries.plans import plans_with, points_for
from lifecycle.queries.rights import about_light_at, about_place, museum_day
from lifecycle.records.models import (
    DisplayPeriod,
    Instrument,
    LightEvent,
    LightReading,
    PaperKind,
    Place,
)
from lifecycle.records.models.light import ChangeOfLight

GALLERY_FORM = "light/gallery_form.html"
CASES = (PlaceKind.CASE, PlaceKind.POSITION)
HERE = (Deed.READ_LIGHT, Deed.WALK, Deed.REPORT_EVENT)


def place_in_reach(request: SignedInRequest, uid: UUID) -> Place:
    """The place at this address.

    :raises NotAllowed: if this person neither reads nor walks nor reports there
    """
    place = get_object_or_404(Place.objects.select_related("parent__parent"), uid=uid)
    about = about_light_at(place)
    if not may_one_of(request, HERE, about):
        request.role_for(Deed.WALK, about)
    return place


def here(place: Place) -> str:
    return reverse("readings", args=[place.uid])


def cautions_at(place: Place) -> list[str]:
    """What to know before working near lamps there, with the hazards of what hangs there."""
    said = cautions_for(hazards_shown_in(place), CautionFor.READ_LIGHT)
    return [f"{caution.about}: {caution.text}" for caution in said]


@require_GET
@signed_in
def light_round(request: SignedInRequest) -> HttpResponse:
    """The walk: find a place by its short code, or take the next case that is due."""
    typed = request.GET.get("code", "").strip()[:40]
    hit = code_hit(typed) if typed else None
    if hit is not None and hit.table == "place":
        return redirect("readings", uid=hit.uid)
    if hit is not None and hit.table == "museumobject":
        return redirect("look-take", uid=hit.uid)
    cases = own_walk(request.person, request.facts, request.at)
    context = {
        "cases": cases,
        "may_read": any(request.may(Deed.READ_LIGHT, one.about) for one in cases),
        "today": museum_day(request.at),
        "typed": typed,
    }
    return render(request, "light/round.html", context)


def _reached(event: LightEvent | None, at: datetime) -> Sequence[Reached]:
    return () if event is None else reached_by(event.place, at, event=event)


@require_GET
@signed_in
def readings(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """A place in the gallery: what was read there, what hangs there, what one can do."""
    place = place_in_reach(request, uid)
    file = wanted_file(request, lambda: readings_table(place.name, readings_at(place, request.at)))
    if file is not None:
        return file
    about = about_light_at(place)
    record = at_place(place, request.at)
    points = points_for(place)
    context = {
        "points": points,
        "plans": [shown_plan(plan, points) for plan in plans_with(points)],
        "may_keep_points": may_one_of(request, POINT_KEEPERS),
        "place": place,
        "record": record,
        "reached": _reached(record.voided_by, request.at),
        "may_read": request.may(Deed.READ_LIGHT, about),
        "may_print_sheet": may_one_of(request, TO_PRINT[PaperKind.READING_SHEET], about),
        "may_print_conditions": place.kind in CASES
        and may_one_of(request, TO_PRINT[PaperKind.CASE_CONDITIONS], about),
        "may_walk": request.may(Deed.WALK, about),
        "may_report": request.may(Deed.REPORT_EVENT, about),
        "today": museum_day(request.at),
    }
    return render(request, "light/place.html", context)


def _up_at(place: Place, read_at: datetime) -> DisplayPeriod | None:
    """What hung there when the light was read: a reading before an install is the place's alone."""
    rows = DisplayPeriod.objects.filter(place=place, closed_at=None, struck_at=None)
    row = rows.select_related("showing", "face").order_by("pk").first()
    return None if row is None or before(read_at, row.opened_at) else row


def usual_meter(request: SignedInRequest, kinds: tuple[str, ...]) -> Instrument | None:
    """The meter this person read with last, else the house's only one."""
    last = LightReading.objects.filter(read_by=request.person, instrument__kind__in=kinds)
    row = last.select_related("instrument").order_by("-pk").first()
    if row is not None and row.instrument is not None and row.instrument.retired_on is None:
        return row.instrument
    in_use = list(Instrument.objects.filter(kind__in=kinds, retired_on=None).order_by("pk")[:2])
    return in_use[0] if len(in_use) == 1 else None


@signed_in
def reading_take(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a reading: big keys, one question when the value is odd."""
    place = place_in_reach(request, uid)
    about = about_light_at(place)
    role = request.role_for(Deed.READ_LIGHT, about)
    meter = usual_meter(request, ("lux", "lux_and_uv"))
    points = [point.pk for point in points_for(place)[:2]]
    initial: dict[str, Any] = {"instrument": meter}
    if len(points) == 1:
        initial["point"] = points[0]
    form = ReadingForm(request.POST or None, place=place, at=request.at, initial=initial)
    if role is Role.ATTENDANT:
        form.needs_point_and_meter()

    def act(data: dict[str, Any]) -> str:
        where = form.place_read(place)
        up = _up_at(where, data["read_at"])
        try:
            kept = take_reading(
                by=request.person,
                role=role,
                at=request.at,
                place=where,
                showing=None if up is None else up.showing,
                face=None if up is None else up.face,
                **data,
            )
        except Refused as refused:
            if any(reason.code == "reading.odd" for reason in refused.reasons):
                form.ask_again()
            raise
        return f"{kept.lux} lx at {where.name} is kept.{_marks(kept)}"

    page = FormPage(
        title=f"Read light at {place.name}",
        submit="Keep the reading",
        back=here(place),
        lead="Sensor at the point, in the plane of the object, unshaded; lamps as named below.",
        cautions=cautions_at(place),
        template=GALLERY_FORM,
    )
    return answer_form(request, form, act, page)


def _marks(row: LightReading) -> str:
    marks = []
    if row.suspicious:
        marks.append("marked as odd and confirmed")
    if row.meter_lapsed:
        marks.append("marked: the meter is past its calibration")
    if not row.counts:
        marks.append("kept, but it does not count: meter or point is not known")
    return f" It is {'; '.join(marks)}." if marks else ""


@signed_in
def reading_correct(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Correct a reading by a new row."""
    row = get_object_or_404(LightReading.objects.select_related("place", "read_by"), uid=uid)
    role = request.role_for(Deed.READ_LIGHT, about_light_at(row.place))
    form = CorrectionForm(request.POST or None, initial={"lux": row.lux, "uv": row.uv})

    def act(data: dict[str, Any]) -> str:
        kept = correct_reading(by=request.person, role=role, at=request.at, reading=row, **data)
        return f"{kept.lux} lx stands now; the old reading is kept."

    page = FormPage(
        title=f"Correct the reading at {row.place.name}",
        submit="Correct the reading",
        back=here(row.place),
        lead=f"{row.lux} lx, read by {row.read_by.full_name}.",
        template=GALLERY_FORM,
    )
    return answer_form(request, form, act, page)


@signed_in
def climate_take(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Temperature and relative humidity by hand."""
    place = place_in_reach(request, uid)
    role = request.role_for(Deed.WALK, about_place(place))
    form = ClimateForm(request.POST or None, at=request.at)

    def act(data: dict[str, Any]) -> str:
        kept = read_climate(by=request.person, role=role, at=request.at, place=place, **data)
        return f"{kept.t_c} °C and {kept.rh} % RH at {place.name} are kept."

    page = FormPage(
        title=f"Read the air at {place.name}",
        submit="Keep the reading",
        back=here(place),
        template=GALLERY_FORM,
    )
    return answer_form(request, form, act, page)


def _span(
    form: EventForm, place: Place, at: datetime
) -> tuple[datetime, datetime | None, Certainty]:
    """When it happened, as the form says it."""
    when, moment = form.cleaned_data["when"], form.cleaned_data["from_at"]
    if when == EventForm.AT and moment is not None:
        return moment, None, Certainty.EXACT
    if when == EventForm.SINCE_READING:
        return last_read_at(place, at) or at, at, Certainty.BETWEEN
    return at, None, Certainty.EXACT


@signed_in
def light_event(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Report in three taps that the light changed: this page, what, done."""
    place = place_in_reach(request, uid)
    role = request.role_for(Deed.REPORT_EVENT, about_place(place))
    form = EventForm(request.POST or None)
    pressed = request.POST.get("what", "")
    if request.method == "POST" and form.is_valid():
        from_at, until_at, certainty = _span(form, place, request.at)
        try:
            what = ChangeOfLight(pressed)
            report_light_event(
                by=request.person,
                role=role,
                at=request.at,
                place=place,
                what=what,
                from_at=from_at,
                until_at=until_at,
                certainty=certainty,
                ticket=form.cleaned_data["ticket"],
                note=form.cleaned_data["note"],
            )
        except ValueError:
            form.add_error(None, "Press the key that says what changed.")
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            said = f"Reported: {what.label} at {place.name}. The light is to be read again today."
            messages.success(request, said)
            return redirect(f"{here(place)}#reached")
    context = {
        "form": form,
        "place": place,
        "kinds": [(kind.value, kind.label) for kind in ChangeOfLight],
        "cautions": cautions_at(place),
        "back": here(place),
    }
    return render(request, "light/event.html", context)
