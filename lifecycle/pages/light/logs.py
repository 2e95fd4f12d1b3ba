"""A logger's file: upload, columns with unit and clock, preview, progress, taking back."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lifecycle.actions.light import logging_in
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.light_log import Reading
from lifecycle.exchange.tables.table import Table
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.light.forms import instrument_words
from lifecycle.pages.light.readings import place_in_reach
from lifecycle.planning.logged import (
    Logged,
    highest_lux,
    usual_interval,
    usual_lit_lux,
)
from lifecycle.planning.moments import moment_of
from lifecycle.planning.quantities import whole_lx_h
from lifecycle.process.rights import Deed
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.logs import doubts_of, logs_at
from lifecycle.queries.rights import place_chain
from lifecycle.records.base import choices
from lifecycle.records.models import Instrument, LightLog, LoggedUnit, Place, ReadingPoint
from lifecycle.records.models.work import Work, WorkKind, WorkState

EXAMPLES = 3


class FileForm(forms.Form):
    """The file itself."""

    file = forms.FileField(
        label="File of the logger",
        help_text="CSV or XLSX: a line of headings, then one line a sample, in the order of time.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,.xlsm,.txt,.tsv"}),
    )


def _column(text: str) -> int | None:
    return int(text) if text else None


class ColumnsForm(forms.Form):
    """Which column is which, and what no file says of itself: unit and clock."""

    moment = forms.TypedChoiceField(label="Day, or day and time", coerce=_column)
    clock = forms.TypedChoiceField(
        label="Time, if it has a column of its own",
        coerce=_column, empty_value=None, required=False,
    )  # fmt: skip
    day_first = forms.TypedChoiceField(
        label="Days like 03/04/2026",
        choices=[("yes", "day first: 3 April"), ("no", "month first: 4 March")],
        coerce=lambda text: text == "yes",
        help_text="Days written like 2026-04-03 are read as they stand.",
    )
    lux = forms.TypedChoiceField(label="Light", coerce=_column)
    unit = forms.ChoiceField(
        label="Unit of the light", choices=[("", "choose"), *choices(LoggedUnit)]
    )
    uv = forms.TypedChoiceField(label="UV, µW/lm", coerce=_column, empty_value=None, required=False)
    zone = forms.ChoiceField(
        label="Clock of the logger",
        help_text="Many loggers keep winter time all the year: look at its setting.",
    )
    instrument = forms.ModelChoiceField(
        Instrument.objects.none(), label="Instrument that logged", to_field_name="uid",
        empty_label="choose",
    )  # fmt: skip
    point = forms.ModelChoiceField(
        ReadingPoint.objects.none(), label="Point", to_field_name="uid", required=False,
        empty_label="not at a point",
    )  # fmt: skip

    def __init__(self, work: Work, place: Place, data: Any = None) -> None:
        super().__init__(data, initial=_initial(work))
        columns = [(str(n), heading) for n, heading in enumerate(work.inputs["headings"])]
        fields: dict[str, Any] = self.fields
        for name in ("moment", "lux"):
            fields[name].choices = [("", "choose"), *columns]
        for name in ("clock", "uv"):
            fields[name].choices = [("", "none"), *columns]
        fields["zone"].choices = _clocks()
        meters = Instrument.objects.filter(kind__in=logging_in.LOGGING, retired_on=None)
        fields["instrument"].queryset = meters.order_by("name", "serial")
        fields["instrument"].label_from_instance = instrument_words
        points = ReadingPoint.objects.filter(place__in=place_chain(place), retired_on=None)
        fields["point"].queryset = points.select_related("place").order_by("letter", "pk")
        fields["point"].label_from_instance = lambda p: f"{p.letter}, {p.place.name}: {p.label}"

    def reading(self) -> Reading:
        names = ("moment", "clock", "day_first", "lux", "unit", "uv", "zone")
        return Reading(**{name: self.cleaned_data[name] for name in names})


def _initial(work: Work) -> dict[str, Any]:
    chosen = work.inputs["chosen"]
    if chosen is None:
        found = dict(work.inputs["suggested"])
    else:
        found = {**chosen["reading"], "instrument": chosen["instrument"], "point": chosen["point"]}
    return found | {"day_first": "yes" if found["day_first"] else "no"}


def _clocks() -> list[tuple[str, str]]:
    zone = museum_zone()
    fixed = []
    for hours in range(-12, 15):
        name = f"UTC{'-' if hours < 0 else '+'}{abs(hours):02}:00"
        fixed.append((name, f"{name} all the year"))
    return [
        ("", "choose"),
        (zone.key, f"{zone.key}, with its summer time"),
        ("UTC", "UTC"),
        *fixed,
    ]


def _acting(request: SignedInRequest) -> dict[str, Any]:
    return {"by": request.person, "role": request.role_for(Deed.EXAMINE), "at": request.at}


@signed_in
def log_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Choose a file for a place; below it, what was logged there before."""
    acting = _acting(request)
    place = place_in_reach(request, uid)
    form = FileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sent = form.cleaned_data["file"]
        try:
            work = logging_in.bring_log(
                **acting, place=place, data=sent.read(), name=sent.name or "log"
            )
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return redirect("light-log", uid=work.uid)
    context = {"form": form, "place": place, "logs": logs_at(place)}
    return render(request, "light/log_new.html", context)


def _work(uid: UUID) -> tuple[Work, Place]:
    work = get_object_or_404(
        Work.objects.select_related("asked_by"), uid=uid, kind=WorkKind.IMPORT_LIGHT_LOG
    )
    return work, get_object_or_404(Place, uid=work.inputs["place"])


@signed_in
def log_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One file: its columns and its preview, how far it has come, or what came of it."""
    acting = _acting(request)
    work, place = _work(uid)
    if work.state != WorkState.PREPARING:
        moving = work.state in (WorkState.WAITING, WorkState.RUNNING)
        context = {
            "work": work,
            "place": place,
            "moving": moving,
            "may_stop": moving and not work.stop_asked_at,
            "bad": work.results.get("bad", []),
        }
        part = request.htmx and not request.htmx.boosted
        name = "light/log_result_part.html" if part else "light/log_result.html"
        return render(request, name, context)
    form = ColumnsForm(work, place, request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            logging_in.choose_reading(
                **acting,
                uid=uid,
                how=form.reading(),
                instrument=data["instrument"],
                point=data["point"],
            )
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return redirect(f"{reverse('light-log', args=[uid])}#preview")
    table = logging_in.table_of(work)
    examples = [
        (heading, " · ".join(_examples([line.cells[n].text[:40] for line in table.lines[:500]])))
        for n, heading in enumerate(table.headings)
    ]
    preview = None
    if work.inputs["chosen"] is not None and not form.errors:
        preview = _preview(work, table, place, request)
    context = {
        "work": work,
        "place": place,
        "form": form,
        "table": table,
        "examples": examples,
        "preview": preview,
    }
    return render(request, "light/log.html", context)


def _examples(cells: list[str]) -> list[str]:
    """The first few different things a column says: a night of noughts tells nothing."""
    return list(dict.fromkeys(text for text in cells if text))[:EXAMPLES]


def _preview(work: Work, table: Table, place: Place, request: SignedInRequest) -> dict[str, Any]:
    """What would be kept, in words; nothing is written by looking."""
    series = logging_in.series_of(work, table)
    found: dict[str, Any] = {
        "series": series,
        "faults": list(logging_in.series_faults(series, place, request.at)),
    }
    if len(series.samples) > 1:
        zone = museum_zone()
        levels = series.levels
        minutes = [minute for minute, _ in levels]
        step = usual_interval(minutes)
        logged = Logged(tuple(levels), step)
        found |= {
            "first": moment_of(minutes[0], zone),
            "last": moment_of(minutes[-1], zone),
            "step": step,
            "lx_h": whole_lx_h(logged.total),
            "usual": usual_lit_lux(levels),
            "highest": highest_lux(levels),
            "gaps": [
                (moment_of(a, zone), moment_of(b, zone), timedelta(minutes=b - a))
                for a, b in logged.gaps[:12]
            ],
            "gap_count": len(logged.gaps),
            "doubts": doubts_of(levels, place, request.at),
            "lines": [
                (moment_of(minute, zone), tenths / 10, None if uv is None else uv / 10)
                for minute, tenths, uv in series.samples[:12]
            ],
        }
    return found


@require_POST
@signed_in
def log_deed(request: SignedInRequest, uid: UUID, deed: str) -> HttpResponse:
    """Go ahead, put aside, or stop."""
    acting = _acting(request)
    _, place = _work(uid)
    back = reverse("light-log", args=[uid])
    try:
        if deed == "go-ahead":
            logging_in.go_ahead(**acting, uid=uid, sure="sure" in request.POST)
            messages.success(request, "The file is handed to the worker; how far it is, is below.")
        elif deed == "put-aside":
            logging_in.put_aside(**acting, uid=uid)
            messages.success(request, "The file is put aside; nothing was written.")
            back = reverse("light-log-new", args=[place.uid])
        else:
            rows.stop(uid=str(uid), **acting)
            messages.success(request, "It stops; nothing was written.")
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    return redirect(back)


class WhyForm(forms.Form):
    why = forms.CharField(label="Why it does not count", max_length=200)


@signed_in
def log_take_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a log back; the address holds the log's uid."""
    acting = _acting(request)
    log = get_object_or_404(LightLog.objects.select_related("place"), uid=uid)
    form = WhyForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        logging_in.take_back_log(**acting, log=log, why=data["why"])
        return f"{log.file_name} counts no more; it stays readable."

    page = FormPage(
        title=f"Take {log.file_name} back",
        submit="Take it back",
        back=reverse("light-log-new", args=[log.place.uid]),
        lead=f"Logged at {log.place.name}; accounts follow the spot readings again.",
    )
    return answer_form(request, form, act, page)
