"""Lights used, what was not seen, pictures of faces, recommendations."""

from functools import partial
from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from lifecycle.actions.condition.advice import (
    answer_recommendation,
    recommend,
    take_back_recommendation,
)
from lifecycle.actions.condition.draft import about_report
from lifecycle.actions.condition.looking import (
    add_light,
    put_face_picture,
    say_not_seen,
    take_back_light,
    take_back_not_seen,
)
from lifecycle.pages.condition.finding_forms import (
    AdviceForm,
    FacePictureForm,
    LightForm,
    NotSeenForm,
)
from lifecycle.pages.condition.seeing import address, seen_report
from lifecycle.pages.condition.sign_forms import AdviceAnswerForm
from lifecycle.pages.condition.writing import press, writer
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.words import LightKind
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import PicturePurpose
from lifecycle.records.models.condition import LightUsed, NotSeen, Recommendation, ReportFace
from lifecycle.records.models.condition.words import Advice


@signed_in
def light_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Note a light the object was looked at in."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = LightForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        used = add_light(
            report=report,
            by=request.person,
            role=role,
            at=request.at,
            **{**data, "light": LightKind(data["light"])},
        )
        return f"Light {used.number} is noted."

    page = FormPage(
        title=f"A light used in {report}",
        submit="Note this light",
        back=address(report, "lights"),
        cautions=cautions_of(report.museum_object, CautionFor.EXAMINE_UV),
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def light_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a light out of the draft."""
    used = get_object_or_404(LightUsed.objects.select_related("report"), uid=uid)
    report = seen_report(request, used.report.uid)
    used.report = report
    deed = partial(take_back_light, light=used)
    return press(request, report, deed, f"Light {used.number} is taken out.", "lights")


@signed_in
def not_seen_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say what could not be seen."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = NotSeenForm(request.POST or None)
    form.fill(museum_day(request.at))

    def act(data: dict[str, Any]) -> str:
        say_not_seen(
            report=report,
            what=data["what"],
            note=data["note"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"“{data['what']}” is noted as not seen."

    page = FormPage(
        title=f"Not seen in {report}", submit="Note it", back=address(report, "not-seen")
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def not_seen_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """It was seen after all."""
    row = get_object_or_404(NotSeen.objects.select_related("report", "what"), uid=uid)
    report = seen_report(request, row.report.uid)
    row.report = report
    deed = partial(take_back_not_seen, row=row)
    return press(request, report, deed, f"“{row.what}” was seen after all.", "not-seen")


@signed_in
def face_picture(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Lay a picture under the findings of a face."""
    row = get_object_or_404(ReportFace.objects.select_related("face", "picture", "report"), uid=uid)
    report = seen_report(request, row.report.uid)
    row.report = report
    role = writer(request, report)
    initial = {
        "kept": row.picture.uid if row.picture else None,
        "nothing_further": row.nothing_further,
    }
    form = FacePictureForm(request.POST or None, request.FILES or None, initial=initial)
    form.fill(row)

    def act(data: dict[str, Any]) -> str:
        received = receive_sent(data["picture"])
        with transaction.atomic():
            sent = keep_sent(
                request,
                role,
                received,
                PicturePurpose.CONDITION,
                face=row.face,
                light=LightKind(data["light"]) if data["light"] else None,
                scale_present=data["scale_present"],
                taken_at=report.examined_at,
            )
            beside = data["beside"] and row.picture is not None
            put_face_picture(
                row=row,
                picture=data["kept"] if beside else sent or data["kept"],
                nothing_further=data["nothing_further"],
                by=request.person,
                role=role,
                at=request.at,
            )
        return f"The face “{row.face}” is saved."

    page = FormPage(
        title=f"“{row.face}” in {report}",
        submit="Save this face",
        back=address(report, "findings"),
        lead="A picture of today, right way up: the findings are marked on it.",
        cautions=cautions_of(report.museum_object, CautionFor.EXAMINE_UV),
    )
    return answer_form(request, form, act, page)


@signed_in
def advice_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Recommend something; it stays open until somebody says how it was dealt with."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = AdviceForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        recommend(
            report=report,
            about=Advice(data["about"]),
            text=data["text"],
            due_on=data["due_on"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return "The recommendation is noted."

    page = FormPage(
        title=f"A recommendation in {report}",
        submit="Note the recommendation",
        back=address(report, "advice"),
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def advice_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a recommendation out of the draft."""
    row = get_object_or_404(Recommendation.objects.select_related("report"), uid=uid)
    report = seen_report(request, row.report.uid)
    row.report = report
    deed = partial(take_back_recommendation, recommendation=row)
    return press(request, report, deed, "The recommendation is taken out.", "advice")


@signed_in
def advice_answer(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say how a recommendation was dealt with."""
    row = get_object_or_404(Recommendation.objects.select_related("report"), uid=uid)
    report = seen_report(request, row.report.uid)
    role = request.role_for(Deed.EXAMINE, about_report(report))
    form = AdviceAnswerForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        answer_recommendation(
            recommendation=row, text=data["text"], by=request.person, role=role, at=request.at
        )
        return "The recommendation is answered."

    page = FormPage(
        title=f"Recommendation {row.number} of {report}",
        submit="Say how it was dealt with",
        back=address(report, "advice"),
        lead=row.text,
    )
    return answer_form(request, form, act, page)
