"""Case readiness, light proof, and the way to the case; each reached from a showing."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from lifecycle.actions.pictures import store_document
from lifecycle.actions.preparation.cases import (
    CaseMade,
    about_case,
    check_route,
    prove_light,
    say_case_ready,
    write_case,
)
from lifecycle.actions.preparation.lamps import LAMP_DEEDS
from lifecycle.actions.refusals import Refused
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.pages.form_page import FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.queries.changes import changes_of
from lifecycle.queries.preparation.cases import case_of, light_proofs_at, lines_of, routes_of
from lifecycle.queries.preparation.ceilings import ceiling_of
from lifecycle.queries.preparation.lamps import about_lamps, lamps_of, levels_of, lighting
from lifecycle.queries.preparation.people import holders_of, the_only
from lifecycle.queries.rights import about_showing, case_around, place_chain
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models.light import Instrument
from lifecycle.records.models.people import Person
from lifecycle.records.models.places import Place, ReadingPoint
from lifecycle.records.models.preparation import CaseReadiness
from lifecycle.records.models.showings import Showing

READERS = (Deed.READ_LIGHT, Deed.PREPARE)
WALKERS = (Deed.HANDLE, Deed.REGISTER, Deed.SCHEDULE)


def _case_place(showing: Showing) -> Place | None:
    """The case around the planned position; the position itself where there is no case."""
    return None if showing.place is None else case_around(showing.place)


def _no_place(request: SignedInRequest, showing: Showing) -> HttpResponse:
    messages.error(
        request,
        f"No position is planned for {showing.museum_object.object_number}: name one first.",
    )
    return redirect(showing_address(showing))


class CaseForm(forms.Form):
    """How far the case is."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    construction_done_on = day_field("Building finished on", required=False)
    construction_done_by = forms.CharField(label="By", max_length=120, required=False)
    cleaned_on = day_field("Cleaned on", required=False)
    cleaned_by = forms.CharField(label="Cleaned by", max_length=120, required=False)
    materials_note = prose(
        "Sealants, paints, boards",
        rows=2,
        help_text="What cures, three weeks at least as a common practice.",
    )
    cure_until = day_field(
        "Cures until",
        required=False,
        help_text="Empty: three weeks after building, where anything is named that cures.",
    )
    cure_because = forms.CharField(
        label="Why less than three weeks will do",
        max_length=200,
        required=False,
        help_text="As the product’s data sheet says.",
    )
    buffer_kind = forms.CharField(label="Buffer", max_length=120, required=False)
    buffer_mass_kg = forms.DecimalField(
        label="Buffer, kg", min_value=0, max_digits=6, decimal_places=2, required=False
    )
    buffer_target_rh = forms.DecimalField(
        label="Target RH, %",
        min_value=1,
        max_value=99,
        max_digits=4,
        decimal_places=1,
        required=False,
    )
    buffer_conditioned_on = day_field("Buffer conditioned on", required=False)
    buffer_renew_by = day_field("Buffer to be renewed by", required=False)
    test_logger = forms.CharField(label="Logger of the test run", max_length=60, required=False)
    test_from = moment_field("Test run from", required=False)
    test_to = moment_field("Test run to", required=False)
    test_result = prose("Result of the test run, against the band wanted", rows=2)
    test_outside = forms.TypedChoiceField(
        label="The air during the test run",
        choices=[("", "not judged yet"), ("no", "kept to its band"), ("yes", "left its band")],
        coerce=lambda value: value == "yes",
        empty_value=None,
        required=False,
    )
    without_lamps = forms.BooleanField(label="Lit by daylight alone", required=False)
    lamps = prose("What the rows of its lamps do not say", rows=2)
    captions_clear = forms.BooleanField(label="Captions stand clear of objects", required=False)
    locks = prose("Locks, keys, alarm (restricted)", rows=2)
    layout_file = forms.FileField(
        label="Layout drawing",
        required=False,
        help_text="It has to be found in an emergency.",
    )


@signed_in
def case_readiness(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """How far the case of a showing is: read it and write it on one page."""
    showing = seen_showing(request, uid)
    place = _case_place(showing)
    if place is None:
        return _no_place(request, showing)
    subject = about_case(showing.exhibition, place)
    row = case_of(showing.exhibition, place)
    sees_locks = request.may(Deed.SEE_STORE_BAY, subject)
    may_write = request.may(Deed.PREPARE, subject)
    names = [n for n in CaseMade.__dataclass_fields__ if n != "layout"]
    initial: dict[str, Any] = {name: getattr(row, name) for name in names} if row else {}
    initial["version"] = row.edition if row else 0
    form = CaseForm(posted(request), request.FILES or None, initial=initial)
    if not sees_locks:
        del form.fields["locks"]

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        role = request.role_for(Deed.PREPARE, subject)
        edition, sent = data.pop("version"), data.pop("layout_file")
        data.setdefault("locks", row.locks if row else "")
        layout = row.layout if row else None
        if sent is not None:
            layout = store_document(
                data=sent.read(),
                name=sent.name,
                title=f"Layout of {place}",
                by=request.person,
                role=role,
                at=request.at,
                field="layout_file",
            )
        write_case(
            by=request.person,
            role=role,
            at=request.at,
            place=place,
            exhibition=showing.exhibition,
            edition=edition,
            made=CaseMade(**data, layout=layout),
        )
        return f"The readiness of {place} is written."

    lines = lines_of(row, clock_at(request.at)) if row else ()
    page = FormPage(
        title=f"Case {place} for {showing.exhibition.title}",
        submit="Keep how far it is",
        back=reverse("case-readiness", args=[uid]),
        lead="Building work is finished, cured and cleaned before an object comes.",
        draft=f"case-{showing.exhibition.uid}-{place.uid}",
        template="preparation/case.html",
        more={
            "showing": showing,
            "place": place,
            "row": row,
            "lines": lines,
            "left": [line for line in lines if line.is_open],
            "lamps": [one for one in lamps_of(lighting(place)) if one.taken_out_at is None],
            "may_hang": may_one_of(request, LAMP_DEEDS, about_lamps(place)),
            "may_write": may_write,
            "sees_locks": sees_locks,
            "back": showing_address(showing, "preparation"),
            "changes": changes_of(row) if row else [],
        },
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def case_ready(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say that a case is ready."""
    row = get_object_or_404(CaseReadiness.objects.select_related("place", "exhibition"), uid=uid)
    role = request.role_for(Deed.PREPARE, about_case(row.exhibition, row.place))
    try:
        say_case_ready(by=request.person, role=role, at=request.at, case=row)
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    else:
        messages.success(request, f"{row.place} is ready.")
    asked = request.POST.get("showing", "")
    showing = Showing.objects.filter(exhibition=row.exhibition, request_no=asked).first()
    if showing is None:
        return redirect("place", row.place.uid)
    return redirect("case-readiness", showing.uid)


class ProofForm(forms.Form):
    """Lux and UV with a dummy in the object's place."""

    point = forms.ModelChoiceField(
        ReadingPoint.objects.none(), to_field_name="uid", label="Reading point", required=False
    )
    lux = forms.DecimalField(label="Light, lx", min_value=0, max_digits=7, decimal_places=1)
    uv = forms.DecimalField(
        label="UV, µW/lm", min_value=0, max_digits=6, decimal_places=1, required=False
    )
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), to_field_name="uid", label="Meter"
    )
    with_dummy = forms.BooleanField(
        label="Measured with a dummy in the object’s place", required=False
    )
    lamp_state = forms.CharField(
        label="How the lamps stood",
        max_length=160,
        help_text="As in the show; the reading counts for that state only.",
    )
    observed_at = moment_field("Measured at")
    observed_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Measured by",
        required=False,
        empty_label="me",
    )


@signed_in
def light_proof(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Prove that the light lies under the ceiling before the object enters."""
    showing = seen_showing(request, uid)
    place = showing.place
    if place is None:
        return _no_place(request, showing)
    subject = about_showing(showing)
    role = role_for_one_of(request, READERS, subject)
    lamps = levels_of(case_around(place))[:160]
    form = ProofForm(posted(request), initial={"observed_at": request.at, "lamp_state": lamps})
    fields: dict[str, Any] = form.fields
    around = place_chain(place)
    fields["point"].queryset = ReadingPoint.objects.filter(
        place__in=around, retired_on=None
    ).order_by("place", "letter")
    fields["point"].initial = the_only(fields["point"].queryset.filter(place=place))
    fields["point"].label_from_instance = lambda one: f"{one.letter} {one.label}"
    fields["instrument"].queryset = Instrument.objects.filter(retired_on=None).order_by(
        "name", "pk"
    )
    fields["observed_by"].queryset = holders_of(None, request.at)

    def act(data: dict[str, Any]) -> str:
        made = prove_light(
            by=request.person,
            role=role,
            at=request.at,
            exhibition=showing.exhibition,
            place=data["point"].place if data["point"] else place,
            **data,
        )
        over = made.ceiling_lux is not None and made.lux > made.ceiling_lux
        word = f"above the ceiling of {made.ceiling_lux} lx: adjust and measure again"
        return f"{made.lux} lx at {place}, {word if over else 'kept'}."

    ceiling = ceiling_of(showing.exhibition, place, request.at)
    page = FormPage(
        title=f"Light proof at {place} for {called(showing)}",
        submit="Keep the reading",
        back=reverse("light-proof", args=[uid]),
        lead=ceiling.because,
        template="preparation/light_proof.html",
        more={
            "rows": light_proofs_at(showing.exhibition, around),
            "back": showing_address(showing, "preparation"),
        },
    )
    return answer_form(request, form, act, page)


class RouteForm(forms.Form):
    """The way walked before anything is carried."""

    to_place = PlaceField(label="To")
    people = forms.IntegerField(label="People needed", min_value=1, max_value=20)
    equipment = prose("Equipment", required=True, rows=2)
    doors_lifts = prose("Doors, lifts, steps", required=True, rows=2)
    hazards_read = forms.BooleanField(label="I have read the hazards above", required=False)
    observed_at = moment_field("Walked at")
    observed_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Walked by",
        required=False,
        empty_label="me",
    )


@signed_in
def route(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Walk the way to the case and say what it takes."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, WALKERS, about_showing(showing))
    form = RouteForm(
        posted(request),
        initial={
            "to_place": str(showing.place.uid) if showing.place else "",
            "observed_at": request.at,
        },
    )
    where: Any = form.fields["to_place"]
    where.fill()
    fields: dict[str, Any] = form.fields
    fields["observed_by"].queryset = holders_of(None, request.at)

    def act(data: dict[str, Any]) -> str:
        check_route(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"The way of {showing.museum_object.object_number} is walked."

    page = FormPage(
        title=f"The way to the case for {called(showing)}",
        submit="Keep the way",
        back=reverse("route", args=[uid]),
        lead="No pallet, lift or door is left to chance.",
        cautions=cautions_of(showing.museum_object, CautionFor.MOVE),
        template="preparation/route.html",
        more={"rows": routes_of(showing), "back": showing_address(showing, "preparation")},
    )
    return answer_form(request, form, act, page)
