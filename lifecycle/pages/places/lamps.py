"""Lamps of a place: listed, hung, changed, put right on record, taken out."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.preparation.lamps import (
    LAMP_DEEDS,
    LampChanged,
    LampSaid,
    take_lamp_out,
    write_lamp,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.light.readings import cautions_at
from lifecycle.pages.moments import moment_field
from lifecycle.pages.places.views import seen_place
from lifecycle.queries.changes import changes_of
from lifecycle.queries.preparation.lamps import about_lamps, lamps_of, lighting
from lifecycle.queries.preparation.people import holders_of
from lifecycle.records.base import choices
from lifecycle.records.models import Lamp, LampKind, LampWhere, Person, Place, UvKnownFrom

CHANGED, RECORD = "changed", "record"
HAPPENED = (
    (CHANGED, "The lamp was hung, changed or taken out: light measured before counts no more."),
    (RECORD, "Only the record is new or put right; the light is what it was."),
)


def _number(label: str, *, places: int = 1, **more: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        max_digits=6,
        decimal_places=places,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **more,
    )


class HappenedForm(forms.Form):
    """Since when it is so, and whose hand it was."""

    happened = forms.ChoiceField(label="What happened", choices=HAPPENED, widget=forms.RadioSelect)
    changed_at = moment_field("When")
    changed_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="By whom",
        required=False,
        empty_label="me",
    )

    def offer(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["changed_by"].queryset = holders_of(None, request.at)
        fields["changed_at"].initial = request.at

    def changed(self, data: dict[str, Any], request: SignedInRequest) -> LampChanged:
        return LampChanged(
            at=data.pop("changed_at"),
            by=data.pop("changed_by") or request.person,
            really=data.pop("happened") == CHANGED,
        )


class LampForm(HappenedForm):
    """One lamp as it hangs."""

    version = forms.IntegerField(widget=forms.HiddenInput, initial=0)
    name = forms.CharField(
        label="Which lamp", max_length=20, help_text="As marked on its fitting: L1."
    )
    where = forms.TypedChoiceField(
        label="In which air", choices=choices(LampWhere), coerce=LampWhere
    )
    position = forms.CharField(label="Where it hangs", max_length=120)
    kind = forms.TypedChoiceField(label="Kind", choices=choices(LampKind), coerce=LampKind)
    type_text = forms.CharField(label="Type, as on its label", max_length=120, required=False)
    power_w = _number("Power, W", min_value=0)
    filter = forms.CharField(label="Filter", max_length=120, required=False)
    uv = _number("UV, µW/lm", min_value=0)
    uv_known_from = forms.TypedChoiceField(
        label="UV known from",
        choices=[("", "not known"), *choices(UvKnownFrom)],
        coerce=UvKnownFrom,
        empty_value=None,
        required=False,
    )
    distance_mm = forms.IntegerField(
        label="Distance to the object, mm", min_value=1, max_value=100_000, required=False
    )
    dim_percent = forms.IntegerField(
        label="Level, % of its full light", min_value=0, max_value=100, required=False
    )
    aim = forms.CharField(label="Aimed at", max_length=120, required=False)
    hot = forms.BooleanField(label="Hot to the touch when lit", required=False)

    field_order = ("version", *LampSaid.__dataclass_fields__)


class OutForm(HappenedForm):
    """Why a lamp was taken out."""

    why = reason_field()

    field_order = ("why",)


def _back(place: Place) -> str:
    return reverse("place-lamps", args=[place.uid])


@require_GET
@signed_in
def place_lamps(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Every lamp that lights a place, with those that were taken out."""
    place = seen_place(request, uid)
    rows = lamps_of(lighting(place))
    context = {
        "place": place,
        "lamps": [row for row in rows if row.taken_out_at is None],
        "gone": [row for row in rows if row.taken_out_at is not None],
        "may_write": may_one_of(request, LAMP_DEEDS, about_lamps(place)),
        "cautions": cautions_at(place),
    }
    return render(request, "places/lamps.html", context)


@signed_in
def lamp_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a lamp on record."""
    return _write(request, seen_place(request, uid), None)


@signed_in
def lamp_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write a lamp anew."""
    row = _lamp(uid)
    return _write(request, seen_place(request, row.place.uid), row)


def _lamp(uid: UUID) -> Lamp:
    rows = Lamp.objects.select_related("place__parent").filter(taken_out_at=None)
    return get_object_or_404(rows, uid=uid)


def _write(request: SignedInRequest, place: Place, row: Lamp | None) -> HttpResponse:
    role = role_for_one_of(request, LAMP_DEEDS, about_lamps(place))
    initial: dict[str, Any] = {}
    if row is not None:
        initial = {name: getattr(row, name) for name in LampSaid.__dataclass_fields__}
        initial["version"] = row.edition
    form = LampForm(request.POST or None, initial=initial)
    form.offer(request)

    def act(data: dict[str, Any]) -> str:
        changed, edition = form.changed(data, request), data.pop("version")
        kept = write_lamp(
            by=request.person,
            role=role,
            at=request.at,
            place=place,
            said=LampSaid(**data),
            changed=changed,
            lamp=row,
            edition=edition,
        )
        read = " Where that changed the light, measure it again." if changed.really else ""
        return f"Lamp {kept.name} of {place} is on record.{read}"

    page = FormPage(
        title=f"Lamp {row.name} of {place}" if row else f"A lamp of {place}",
        submit="Keep the lamp",
        back=_back(place),
        lead="A reading counts for one state of the lamps only.",
        draft=f"lamp-{row.uid if row else place.uid}",
        cautions=cautions_at(place),
        template="places/lamp.html",
        more={"lamp": row, "changes": changes_of(row) if row else []},
    )
    return answer_form(request, form, act, page)


@signed_in
def lamp_out(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a lamp out."""
    row = _lamp(uid)
    place = seen_place(request, row.place.uid)
    role = role_for_one_of(request, LAMP_DEEDS, about_lamps(place))
    form = OutForm(request.POST or None)
    form.offer(request)

    def act(data: dict[str, Any]) -> str:
        changed = form.changed(data, request)
        take_lamp_out(
            by=request.person, role=role, at=request.at, lamp=row, changed=changed, why=data["why"]
        )
        return f"Lamp {row.name} of {place} is taken out."

    page = FormPage(
        title=f"Take lamp {row.name} of {place} out",
        submit="It is out",
        back=_back(place),
        cautions=cautions_at(place),
    )
    return answer_form(request, form, act, page)
