"""Readings of a walk on one page, point after point; and the same typed from a reading sheet."""

from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from lifecycle.actions.light.walk import WalkLine, read_along, read_back_sheet
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.pages.display.seeing import Cautions
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.light.forms import LUX_METERS, figure_field, instrument_words
from lifecycle.pages.light.readings import usual_meter
from lifecycle.pages.light.timetables import CLOCK
from lifecycle.pages.moments import moment_field
from lifecycle.pages.papers.forms import BackForm
from lifecycle.pages.plan_drawings import ShownPlan, shown_plan
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.rights import NOTHING, Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.points import (
    PointLine,
    hazards_shown_in,
    points_along,
    points_in,
)
from lifecycle.queries.light.walking import own_walk
from lifecycle.queries.plans import plans_with
from lifecycle.queries.rights import about_light_at, museum_day
from lifecycle.records.models import Instrument, LightReading, PaperKind, Place, Print
from lifecycle.records.models.light import LAMP_STATE_LABELS

MOST_LINES = 120


class WalkForm(forms.Form):
    """Meter and lamps of the walk, then lux and UV of each point; empty lines were skipped."""

    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), label="Meter", required=False, empty_label="choose"
    )
    lamp_state = forms.TypedChoiceField(
        label="Lamps",
        choices=[(state.value, label) for state, label in LAMP_STATE_LABELS.items()],
        coerce=LampState,
        initial=LampState.SHOW.value,
    )

    def __init__(
        self, *args: Any, points: Sequence[PointLine], at: datetime, **kwargs: Any
    ) -> None:
        kwargs["initial"] = {"read_at": at, **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.points = points
        self.parts: Mapping[int, ShownPlan] = {}
        fields: dict[str, Any] = self.fields
        if "observed_at" not in fields:
            fields["read_at"] = moment_field(
                "Read at", help_text="For every line without a time of its own."
            )
        meters = Instrument.objects.filter(kind__in=LUX_METERS, retired_on=None)
        fields["instrument"].queryset = meters.order_by("name", "serial")
        fields["instrument"].label_from_instance = instrument_words
        for n, line in enumerate(points):
            fields[f"lux_{n}"] = figure_field(f"{line.name}: lx", required=False)
            fields[f"uv_{n}"] = figure_field(f"{line.name}: UV, µW/lm", required=False)
            fields[f"time_{n}"] = forms.TimeField(
                label=f"{line.name}: time", required=False, widget=CLOCK
            )
            fields[f"sure_{n}"] = forms.BooleanField(
                label=f"{line.name}: I looked again, the value is right",
                required=False,
                widget=forms.HiddenInput(),
            )

    @property
    def head(self) -> list[forms.BoundField]:
        """The fields of the whole walk."""
        return [self[name] for name in self.fields if name.rpartition("_")[0] not in _OF_A_LINE]

    @property
    def rows(self) -> list[tuple[PointLine, Mapping[str, forms.BoundField], ShownPlan | None]]:
        """Each point with its fields, and the plan around it."""
        return [
            (
                line,
                {name: self[f"{name}_{n}"] for name in _OF_A_LINE},
                None if line.point is None else self.parts.get(line.point.pk),
            )
            for n, line in enumerate(self.points)
        ]

    def ask_again(self, refused: Refused) -> None:
        """Show the question beside each line whose value is odd."""
        for reason in refused.reasons:
            if reason.code == "reading.odd":
                self.fields[
                    f"sure_{reason.field.rpartition('_')[2]}"
                ].widget = forms.CheckboxInput()

    def lines(self, on: datetime) -> list[WalkLine]:
        """The lines that were filled; a time of the day is the one nearest to ``on``.

        :raises Refused: beside a line that has UV and no lux
        """
        data, zone = self.cleaned_data, museum_zone()
        lines, reasons = [], []
        for n, point in enumerate(self.points):
            lux, uv, clock = data[f"lux_{n}"], data[f"uv_{n}"], data[f"time_{n}"]
            if lux is None:
                if uv is not None:
                    reasons.append(Reason("Enter the lux that were read with it.", f"lux_{n}"))
                continue
            lines.append(
                WalkLine(
                    key=str(n),
                    place=point.place,
                    point=point.point,
                    period=point.period,
                    lux=lux,
                    uv=uv,
                    read_at=on if clock is None else _on_day(on, clock, zone),
                    sure=data[f"sure_{n}"],
                )
            )
        if reasons:
            raise Refused(reasons)
        return lines


_OF_A_LINE = ("lux", "uv", "time", "sure")


def _on_day(moment: datetime, clock: time, zone: Any) -> datetime:
    """The time of day nearest to the moment: a walk may go past midnight."""
    day = moment.astimezone(zone).date()
    near = [datetime.combine(day + timedelta(days=n), clock, zone) for n in (-1, 0, 1)]
    return min(near, key=lambda time: abs(time - moment))


def _cautions(points: Sequence[PointLine]) -> Cautions:
    """Hazards of what hangs along the walk stand open; what goes with lamps is folded."""
    cases = {point.case.pk: point.case for point in points}
    hazards = hazards_shown_in(*cases.values())
    said = cautions_for(hazards, CautionFor.READ_LIGHT)
    return Cautions(
        own=tuple(one.text for one in said if one.hazard is not None),
        general=tuple(f"{one.about}: {one.text}" for one in said if one.hazard is None),
        matters=tuple(one.about for one in said if one.hazard is None and one.about != "Always"),
    )


def _plans(form: WalkForm) -> list[ShownPlan]:
    """Give each line the plan around its point; return the plans, the first point marked."""
    fixed = [line.point for line in form.points if line.point is not None]
    plans = plans_with(fixed)
    form.parts = {
        spot.point.pk: shown_plan(plan, fixed, next_point=spot.point, around=spot.point)
        for plan in plans
        for spot in plan.of(fixed)
    }
    return [shown_plan(plan, fixed, next_point=fixed[0]) for plan in plans]


@signed_in
def readings_walk(request: SignedInRequest) -> HttpResponse:
    """Every point on somebody's walk on one page; what is entered is kept together."""
    cases = own_walk(request.person, request.facts, request.at)
    mine = [one.case for one in cases if request.may(Deed.READ_LIGHT, one.about)]
    role = _role(request, [one.about for one in cases])
    points = points_along(mine, request.at)[:MOST_LINES]
    form = WalkForm(
        request.POST or None,
        points=points,
        at=request.at,
        initial={"instrument": usual_meter(request, LUX_METERS)},
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            kept = read_along(
                by=request.person,
                role=role,
                at=request.at,
                lines=form.lines(data["read_at"]),
                instrument=data["instrument"],
                lamp_state=data["lamp_state"],
            )
        except Refused as refused:
            form.ask_again(refused)
            refusal_to_form(form, refused)
        else:
            messages.success(request, f"{_many(len(kept))} kept.{_not_counting(kept)}")
            return redirect("round")
    context = {
        "form": form,
        "cautions": _cautions(points),
        "today": museum_day(request.at),
        "title": "Read along the walk",
        "lead": "Fill what you read, leave out what you did not reach: a missing reading is not "
        "zero. Nothing is lost while you walk; all is kept together at the end.",
        "back": reverse("round"),
        "submit": "Keep the readings",
        "draft": "walk",
        "plans": _plans(form),
    }
    return render(request, "light/walk.html", context)


def _many(number: int) -> str:
    return f"{number} reading{'' if number == 1 else 's'}"


def _not_counting(kept: Sequence[LightReading]) -> str:
    """Say which readings are kept without counting, so that meter or point are named next time."""
    number = sum(1 for row in kept if not row.counts)
    if not number:
        return ""
    return f" {number} of them not counted: a volunteer's counts with its meter and point named."


def _role(request: SignedInRequest, abouts: Sequence[SubjectFacts]) -> Role:
    """The role in which this person reads light anywhere on the walk."""
    about = next((one for one in abouts if request.may(Deed.READ_LIGHT, one)), NOTHING)
    return request.role_for(Deed.READ_LIGHT, about)


class SheetForm(WalkForm, BackForm):
    """A reading sheet as it came back: who wrote, its scan, and its lines in their order."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["observed_at"].help_text = "For every line without a time of its own."

    def details(self) -> Any:
        data = self.cleaned_data
        if not data["written_by_name"] and data["written_by"]:
            data["written_by_name"] = data["written_by"].full_name
        return super().details()


@signed_in
def sheet_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Type a reading sheet back, in the order of the paper; the address holds the print's uid."""
    row = get_object_or_404(Print, uid=uid, paper=PaperKind.READING_SHEET)
    place = get_object_or_404(Place.objects.select_related("parent"), uid=row.record_uid)
    about = about_light_at(place)
    role = request.role_for(Deed.READ_LIGHT, about)
    points = points_in(place, row.printed_at)[:MOST_LINES]
    second = row.returns.exists()
    form = SheetForm(
        request.POST or None,
        request.FILES or None,
        points=points,
        at=request.at,
        second=second,
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            kept = read_back_sheet(
                by=request.person,
                role=role,
                at=request.at,
                row=row,
                details=form.details(),
                lines=form.lines(data["observed_at"]),
                instrument=data["instrument"],
                lamp_state=data["lamp_state"],
            )
        except Refused as refused:
            form.ask_again(refused)
            refusal_to_form(form, refused)
        else:
            messages.success(
                request, f"{row.print_no} is back: {_many(len(kept))} kept.{_not_counting(kept)}"
            )
            return redirect("print", uid=row.uid)
    context = {
        "form": form,
        "cautions": (),
        "today": museum_day(request.at),
        "title": f"Read back {row.print_no}",
        "lead": f"The reading sheet of {place.name}, line by line as it stands on the paper.",
        "back": reverse("print", args=[row.uid]),
        "submit": "Keep the readings of this sheet",
        "draft": f"sheet-{row.uid}",
    }
    return render(request, "light/walk.html", context)
