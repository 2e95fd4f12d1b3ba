"""Part A at the case, part B at the bench, and the verdict on what changed."""

from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from lifecycle.actions.condition.deinstall import record_as_found, record_bench_check
from lifecycle.actions.condition.draft import about_report
from lifecycle.actions.condition.verdict import give_verdict
from lifecycle.pages.condition.seeing import (
    address,
    seen_finding,
    seen_report,
    showing_at_the_case,
)
from lifecycle.pages.condition.sign_forms import AsFoundForm, BenchForm, VerdictForm
from lifecycle.pages.condition.writing import writer
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.words import ReportKind
from lifecycle.queries.condition.dating import dating
from lifecycle.queries.condition.overview import part_of
from lifecycle.records.models import PicturePurpose
from lifecycle.records.models.condition import AsFound, BenchCheck
from lifecycle.records.models.condition.words import AsPlaced, NextStep


def _part(request: SignedInRequest, uid: UUID, kind: ReportKind) -> HttpResponse:
    """Go on with the part of this showing, or start it."""
    showing = showing_at_the_case(request, uid, kind)
    report = part_of(showing, kind)
    if report is not None:
        return redirect(address(report))
    start = reverse("condition-start", args=[showing.uid])
    return redirect(f"{start}?kind={kind.value}")


@signed_in
def part_a(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Part A of a showing: as found, before anything is moved."""
    return _part(request, uid, ReportKind.DEINSTALL_AT_CASE)


@signed_in
def part_b(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Part B of a showing: at the bench, against the earlier report."""
    return _part(request, uid, ReportKind.DEINSTALL_AT_BENCH)


@signed_in
def as_found(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write what is found at the case."""
    report = seen_report(request, uid)
    role = writer(request, report)
    found = AsFound.objects.filter(report=report).first()
    initial: dict[str, Any] = {"as_placed": AsPlaced.AS_PLACED}
    if found is not None:
        names = ("as_placed", "as_placed_note", "dust", "insects", "pests_note", "emergency")
        initial = {name: getattr(found, name) for name in names}
    form = AsFoundForm(request.POST or None, request.FILES or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        received = receive_sent(data["picture"])
        with transaction.atomic():
            picture = keep_sent(
                request,
                role,
                received,
                PicturePurpose.AS_FOUND,
                museum_object=report.museum_object,
            )
            record_as_found(
                report=report,
                as_placed=AsPlaced(data["as_placed"]),
                as_placed_note=data["as_placed_note"],
                dust=data["dust"],
                insects=data["insects"],
                pests_note=data["pests_note"],
                picture=picture,
                emergency=data["emergency"],
                by=request.person,
                role=role,
                at=request.at,
            )
        return "Part A is saved."

    page = FormPage(
        title=f"As found: {report.museum_object.object_number}",
        submit="Save part A",
        back=address(report, "as-found"),
        lead="Before anything is moved. No grading is asked for.",
        draft=f"condition-as-found-{report.uid}",
        cautions=cautions_of(report.museum_object, CautionFor.TAKE_DOWN),
        more={"kept_picture": found.picture if found else None},
    )
    return answer_form(request, form, act, page)


@signed_in
def bench_check(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write what follows from the look at the bench."""
    report = seen_report(request, uid)
    role = writer(request, report)
    check = BenchCheck.objects.filter(report=report).select_related("lender_told_by").first()
    initial: dict[str, Any] = {}
    if check is not None:
        names = ("same_lights", "lights_note", "next_step", "lender_told_at")
        initial = {name: getattr(check, name) for name in names}
        initial["lender_told_by"] = check.lender_told_by.uid if check.lender_told_by else None
    form = BenchForm(request.POST or None, initial=initial)
    form.fill(request)

    def act(data: dict[str, Any]) -> str:
        record_bench_check(
            report=report,
            by=request.person,
            role=role,
            at=request.at,
            **{**data, "next_step": NextStep(data["next_step"])},
        )
        return "Part B is saved."

    page = FormPage(
        title=f"At the bench: {report.museum_object.object_number}",
        submit="Save part B",
        back=address(report, "bench-check"),
        cautions=cautions_of(report.museum_object, CautionFor.EXAMINE),
    )
    return answer_form(request, form, act, page)


def _picture(sha256: str) -> str:
    return reverse("picture", kwargs={"sha256": sha256, "size": "screen"}) if sha256 else ""


@signed_in
def verdict(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Between which looks it changed, what happened between, and a person's conclusion."""
    seen = seen_finding(request, uid)
    report = seen.report
    answer = dating(seen)
    pair = {
        "dating": answer,
        "seen": seen,
        "report": report,
        "may_examine": request.may(Deed.EXAMINE, about_report(report)),
        "before_picture": _picture(answer.picture_before),
        "after_picture": _picture(answer.picture_after),
        "verdicts": list(seen.verdicts.select_related("by", "incident").order_by("at", "pk")),
    }
    if request.method == "GET" and not pair["may_examine"]:
        return render(request, "condition/verdict.html", pair)
    role = request.role_for(Deed.EXAMINE, about_report(report))
    form = VerdictForm(request.POST or None)
    form.fill(report.museum_object)

    def act(data: dict[str, Any]) -> Done:
        give_verdict(observation=seen, by=request.person, role=role, at=request.at, **data)
        return Done(
            f"F{seen.feature.number} is answered.", address(report, f"F{seen.feature.number}")
        )

    page = FormPage(
        title=f"When did F{seen.feature.number} change?",
        submit="Keep this verdict",
        back=address(report, f"F{seen.feature.number}"),
        lead="The interval is computed from reports and looks; the conclusion is yours.",
        draft=f"condition-verdict-{seen.uid}",
        template="condition/verdict.html",
        more=pair,
    )
    return answer_form(request, form, act, page)
