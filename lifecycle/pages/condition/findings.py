"""Add a finding on the picture, answer a known feature, answer many at once."""

from decimal import Decimal, InvalidOperation
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lifecycle.actions.condition.findings import add_finding, answer_feature, take_back_finding
from lifecycle.actions.refusals import Refused
from lifecycle.pages.condition.finding_forms import FindingForm, WhyForm, sight_of
from lifecycle.pages.condition.places import LONGEST, SHAPES, MarkingScale
from lifecycle.pages.condition.report import QUICK_ANSWERS, numbered
from lifecycle.pages.condition.seeing import address, seen_finding, seen_report
from lifecycle.pages.condition.writing import writer
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.sent_pictures import keep_detail, receive_sent
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, Severity
from lifecycle.queries.condition.sheet import ReportSheet, last_pictures, report_sheet
from lifecycle.queries.marks import Marks, marks_of
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Picture
from lifecycle.records.models.condition import (
    ConditionReport,
    LightUsed,
    Observation,
    ReportFace,
)
from lifecycle.records.models.condition.words import Zone


def picture_under(row: ReportFace | None) -> Picture | None:
    """The picture that findings of a face are marked on: the report's own, else the last known."""
    if row is None:
        return None
    return row.picture or last_pictures([row.face]).get(row.face_id)


def _drawn(
    report: ConditionReport, row: ReportFace | None, picture: Picture | None, but: int = 0
) -> dict[str, Any]:
    """The picture of a face with what is on it already, to mark the place on, and its scale.

    ``but``: the finding that is being moved is drawn by the script alone, or it would stand twice.
    """
    if row is None or picture is None:
        return {"drawing": "", "scale": None}
    seen = report.observations.filter(taken_back=False, feature__face=row.face)
    rows = list(seen.exclude(pk=but).select_related("feature").order_by("feature__number"))
    marks = marks_of(rows, pictures=[picture])
    drawing = numbered(picture, rows, row.face.label, marks=marks)
    return {"drawing": drawing, "scale": MarkingScale.of(marks.planes[picture.pk]), "row": row}


def _place_asked_for(request: SignedInRequest) -> dict[str, Any]:
    """A place marked on the picture comes with the address: its shape and its points."""
    shape, places = request.GET.get("shape", ""), request.GET.get("places", "")
    if shape not in dict(SHAPES) or len(places) > LONGEST:
        return {}
    return {"shape": shape, "places": places.replace(";", "\n"), "zone": _zone_asked_for(request)}


def _for_the_next(report: ConditionReport, row: ReportFace, seen: Observation) -> str:
    """Where the next finding is marked: the same face, still in the light of the last one."""
    asked = {"face": str(row.uid)}
    if seen.seen_in is not None:
        asked["light"] = str(seen.seen_in.uid)
    return f"{reverse('condition-finding-new', args=[report.uid])}?{urlencode(asked)}"


def _light_asked_for(request: SignedInRequest, report: ConditionReport) -> LightUsed | None:
    """The light of the finding before, while this report still has it."""
    asked = request.GET.get("light", "")
    used = report.lights_used.filter(taken_back=False)
    return next((light for light in used if str(light.uid) == asked), None) if asked else None


def _zone_asked_for(request: SignedInRequest) -> str:
    zone = request.GET.get("zone", "")
    return zone if zone in Zone.values else ""


@signed_in
def finding_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Record a finding; without a pointer its place is a zone, or a box in percent."""
    report = seen_report(request, uid)
    role = writer(request, report)
    faces = list(
        report.report_faces.filter(dropped=False).select_related("face__thumbnail", "picture")
    )
    chosen = request.POST.get("face") or request.GET.get("face", "")
    face = next((row for row in faces if str(row.uid) == chosen), faces[0] if faces else None)
    picture = picture_under(face)
    light = _light_asked_for(request, report)
    initial = {
        "face": face.uid if face else None,
        "state": FeatureState.FIRST_RECORD,
        "version": 0,
        "seen_in": light.uid if light else None,
        **_place_asked_for(request),
    }
    form = FindingForm(request.POST or None, request.FILES or None, initial=initial)
    form.fill(report, museum_day(request.at))
    form.for_a_new_one()
    form.lie_on(picture, marks_of([], pictures=[picture]))

    def act(data: dict[str, Any]) -> Done:
        received = receive_sent(data.get("picture"))
        with transaction.atomic():
            on = data["face"].face
            detail = keep_detail(request, role, on, received)
            seen = add_finding(
                report=report,
                face=on,
                sight=form.sight(picture=detail),
                by=request.person,
                role=role,
                at=request.at,
            )
        number = seen.feature.number
        where = address(report, f"F{number}")
        if "again" in request.POST:
            where = _for_the_next(report, data["face"], seen)
        return Done(f"F{number} is recorded.", where)

    page = FormPage(
        title=f"A finding in {report}",
        submit="Record the finding",
        again="Record it, then the next",
        back=address(report, "findings"),
        lead="Say where it is by its zone, or by a mark on the picture.",
        draft=f"condition-finding-{report.uid}",
        template="condition/finding.html",
        more={**_drawn(report, face, picture), "report": report},
    )
    return answer_form(request, form, act, page)


@signed_in
def finding(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Answer a feature in this report, or change what was recorded of it."""
    seen = seen_finding(request, uid)
    report = seen.report
    role = writer(request, report)
    row = (
        report.report_faces.filter(face=seen.feature.face)
        .select_related("face__thumbnail", "picture")
        .first()
    )
    under = picture_under(row)
    marks = marks_of([seen], pictures=[under])
    form = FindingForm(
        request.POST or None, request.FILES or None, initial=sight_of(seen, marks, under)
    )
    form.fill(report, museum_day(request.at))
    form.for_a_known_one()
    form.lie_on(under, marks, seen)

    def act(data: dict[str, Any]) -> Done:
        received = receive_sent(data.get("picture"))
        with transaction.atomic():
            picture = keep_detail(request, role, seen.feature.face, received)
            answer_feature(
                observation=seen,
                sight=form.sight(picture=picture or seen.picture),
                revision=data["version"],
                by=request.person,
                role=role,
                at=request.at,
            )
        number = seen.feature.number
        return Done(f"F{number} is answered.", address(report, f"F{number}"))

    page = FormPage(
        title=f"F{seen.feature.number} in {report}",
        submit="Save the answer",
        back=address(report, "findings"),
        lead=f"{seen.term.label} on “{seen.feature.face}”.",
        draft=f"condition-finding-{seen.uid}",
        version=lambda: Observation.objects.get(pk=seen.pk).revision,
        template="condition/finding.html",
        more={
            **_drawn(report, row, under, but=seen.pk),
            "report": report,
            "seen": seen,
        },
    )
    return answer_form(request, form, act, page)


@signed_in
def finding_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take back a finding this draft recorded in error."""
    seen = seen_finding(request, uid)
    role = writer(request, seen.report)
    form = WhyForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        take_back_finding(
            observation=seen, why=data["why"], by=request.person, role=role, at=request.at
        )
        return f"F{seen.feature.number} is taken back; its number is not used again."

    page = FormPage(
        title=f"Take back F{seen.feature.number}",
        submit="Take it back",
        back=address(seen.report, "findings"),
        lead=f"{seen.term.label}. For a finding that was recorded in error.",
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def answers(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Answer many known features at once: all rows of the table, or none of them."""
    report = seen_report(request, uid)
    role = writer(request, report)
    rows = list(
        report.observations.filter(taken_back=False)
        .exclude(state=FeatureState.FIRST_RECORD)
        .select_related("feature__face", "term", "seen_in", "picture", "marked_on")
        .order_by("feature__number")
    )
    marks = marks_of(rows)
    allowed = {state.value for state in QUICK_ANSWERS}
    changed, refusals = 0, list[str]()
    with transaction.atomic():
        for seen in rows:
            state = request.POST.get(f"state-{seen.uid}", "")
            if state not in allowed:
                continue
            try:
                with transaction.atomic():
                    changed += _answer_one(request, seen, state, role, marks)
            except Refused as refused:
                number = f"F{seen.feature.number}"
                texts = [reason.text for reason in refused.reasons]
                refusals += [one if number in one else f"{number}: {one}" for one in texts]
        transaction.set_rollback(bool(refusals))
    if refusals:
        context = {
            "report": report,
            "refusals": refusals,
            "back": address(report, "findings"),
            "sheet": _as_typed(request, report),
            "answers": [(state.value, state.label) for state in QUICK_ANSWERS],
            "unanswered": True,
        }
        return render(request, "condition/not_answered.html", context, status=409)
    messages.success(request, f"{changed} answers are saved.")
    return redirect(address(report, "findings"))


def _as_typed(request: SignedInRequest, report: ConditionReport) -> ReportSheet:
    """The sheet of the report with what was typed into the table; nothing of it is saved."""
    sheet = report_sheet(report)
    for row in sheet.findings:
        uid = row.seen.uid
        row.seen.note = request.POST.get(f"note-{uid}", row.seen.note)
        if (state := request.POST.get(f"state-{uid}", "")) in set(FeatureState):
            row.seen.state = state
        if (weight := request.POST.get(f"severity-{uid}", "")).isdecimal():
            row.seen.severity = int(weight)
        try:
            row.seen.length_mm = Decimal(request.POST.get(f"length-{uid}", ""))
        except InvalidOperation:
            continue
    return sheet


def _answer_one(
    request: SignedInRequest, seen: Observation, state: str, role: Role, marks: Marks
) -> int:
    """Answer one row if anything in it differs; what was not asked stays as it was known."""
    note = request.POST.get(f"note-{seen.uid}", seen.note).strip()
    weight = request.POST.get(f"severity-{seen.uid}", "")
    known = {str(one.value) for one in Severity}
    severity = int(weight) if weight in known else seen.severity
    known_length = "" if seen.length_mm is None else f"{seen.length_mm.normalize():f}"
    length = request.POST.get(f"length-{seen.uid}", known_length).strip()
    before = (seen.state, seen.note, seen.severity, known_length)
    if (state, note, severity, length) == before:
        return 0
    version = request.POST.get(f"version-{seen.uid}", "")
    form = FindingForm(
        {
            **{name: value for name, value in sight_of(seen, marks).items() if value is not None},
            "state": state,
            "note": note,
            "severity": "" if severity is None else str(severity),
            "length_mm": length,
            "version": version if version.isdecimal() else "0",
        }
    )
    form.fill(seen.report, museum_day(request.at))
    form.for_a_known_one()
    form.lie_on(None, marks, seen)
    if not form.is_valid():
        labels = {name: field.label or name for name, field in form.fields.items()}
        wrong = "; ".join(
            f"{labels.get(name, 'The row')}: {', '.join(map(str, texts))}"
            for name, texts in form.errors.items()
        )
        raise Refused(f"F{seen.feature.number}: {wrong}")
    answer_feature(
        observation=seen,
        sight=form.sight(picture=seen.picture),
        revision=form.cleaned_data["version"],
        by=request.person,
        role=role,
        at=request.at,
    )
    return 1
