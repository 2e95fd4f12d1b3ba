"""Meters and loggers with their calibration."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.light import InstrumentDetails, add_instrument, change_instrument
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.light.forms import figure_field
from lifecycle.process.rights import Deed
from lifecycle.queries.rights import museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Instrument
from lifecycle.records.models.light import InstrumentKind

KEEPERS = (Deed.STEWARD, Deed.EXAMINE)


class InstrumentForm(forms.Form):
    """One instrument."""

    kind = forms.TypedChoiceField(
        label="Kind", choices=choices(InstrumentKind), coerce=InstrumentKind
    )
    name = forms.CharField(label="Name", max_length=80)
    serial = forms.CharField(label="Serial number", max_length=60)
    calibrated_on = day_field("Calibrated on", required=False)
    calibration_due = day_field(
        "Calibration due", required=False, help_text="Readings after this day are kept and marked."
    )
    certificate = forms.CharField(label="Certificate", max_length=120, required=False)
    correction_factor = figure_field(
        "Correction factor", help_text="What the meter shows is multiplied by it.", places=3
    )
    limits = forms.CharField(label="Known limits", max_length=200, required=False)
    retired_on = day_field("Out of use since", required=False)

    def details(self) -> InstrumentDetails:
        names = InstrumentDetails.__dataclass_fields__
        return InstrumentDetails(**{name: self.cleaned_data[name] for name in names})


class InstrumentChangeForm(InstrumentForm):
    why = forms.CharField(label="Why it changes", max_length=200)


@require_GET
@signed_in
def instruments(request: SignedInRequest) -> HttpResponse:
    """Every instrument, those whose calibration is due first."""
    request.role_for(Deed.REPORT_EVENT)
    rows = Instrument.objects.order_by("retired_on", "calibration_due", "name", "pk")
    context = {
        "instruments": list(rows),
        "today": museum_day(request.at),
        "may_keep": may_one_of(request, KEEPERS),
    }
    return render(request, "light/instruments.html", context)


@signed_in
def instrument_new(request: SignedInRequest) -> HttpResponse:
    role = role_for_one_of(request, KEEPERS)
    form = InstrumentForm(request.POST or None, initial={"correction_factor": 1})

    def act(data: dict[str, Any]) -> str:
        made = add_instrument(by=request.person, role=role, at=request.at, details=form.details())
        return f"{made.name} {made.serial} is on record."

    page = FormPage(title="New instrument", submit="Enter it", back=reverse("instruments"))
    return answer_form(request, form, act, page)


@signed_in
def instrument_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    row = get_object_or_404(Instrument, uid=uid)
    role = role_for_one_of(request, KEEPERS)
    initial = {name: getattr(row, name) for name in InstrumentDetails.__dataclass_fields__}
    form = InstrumentChangeForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        change_instrument(
            by=request.person,
            role=role,
            at=request.at,
            instrument=row,
            details=form.details(),
            why=data["why"],
        )
        return f"{row.name} {row.serial} is changed."

    page = FormPage(
        title=f"Change {row.name} {row.serial}", submit="Change it", back=reverse("instruments")
    )
    return answer_form(request, form, act, page)
