"""Write the parts of a draft: circumstances, sections, conclusions."""

from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from lifecycle.actions.condition.draft import about_report, deed_for
from lifecycle.actions.condition.head import save_circumstances, save_conclusions
from lifecycle.actions.condition.sections import give_back_section, save_section, take_section
from lifecycle.actions.refusals import Refused
from lifecycle.pages.condition.forms import (
    CircumstancesForm,
    ConclusionsForm,
    SectionForm,
    conclusions_of,
    head_of,
)
from lifecycle.pages.condition.seeing import address, cautions_before, seen_report
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.condition import ConditionReport, ReportSection
from lifecycle.records.models.condition.words import SectionName


def writer(request: SignedInRequest, report: ConditionReport) -> Role:
    """The role in which this person writes this report.

    :raises NotAllowed: if they may not
    """
    return request.role_for(deed_for(report.kind), about_report(report))


def press(
    request: SignedInRequest,
    report: ConditionReport,
    deed: Callable[..., object],
    said: str,
    part: str,
) -> HttpResponse:
    """A button without a form: do the deed as this person, say it, go back to that part.

    :raises NotAllowed: if this person may not write this report
    """
    role = writer(request, report)
    try:
        deed(by=request.person, role=role, at=request.at)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, said)
    return redirect(address(report, part))


@signed_in
def circumstances(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Why, when, where and by whom it was looked at."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = CircumstancesForm(request.POST or None, initial=head_of(report))
    form.fill(museum_day(request.at))
    form.offer_reports(report)

    def act(data: dict[str, Any]) -> str:
        save_circumstances(
            report=report,
            circumstances=form.circumstances(),
            revision=data["version"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"The circumstances of {report} are saved."

    page = FormPage(
        title=f"Circumstances of {report}",
        submit="Save the circumstances",
        back=address(report, "circumstances"),
        draft=f"condition-circumstances-{report.uid}",
        version=lambda: ConditionReport.objects.get(pk=report.pk).circumstances_revision,
        cautions=cautions_before(report),
    )
    return answer_form(request, form, act, page)


def _section_of(
    request: SignedInRequest, uid: UUID, name: str
) -> tuple[ConditionReport, SectionName]:
    """The report and the section at this address.

    :raises Http404: if there is no such report or section
    """
    if name not in SectionName.values:
        raise Http404
    return seen_report(request, uid), SectionName(name)


@signed_in
def section(request: SignedInRequest, uid: UUID, name: str) -> HttpResponse:
    """One section; two people in two sections both succeed."""
    report, title = _section_of(request, uid, name)
    role = writer(request, report)
    kept = ReportSection.objects.filter(report=report, name=name).first()
    lead = f"{report.museum_object} {report.museum_object.title}"
    if kept is not None and kept.taken_by not in {None, request.person}:
        lead = (
            f"{kept.taken_by} has this section open too. Whoever saves second sees both texts "
            "side by side; neither is lost."
        )
    initial = {
        "observed": kept.observed if kept else "",
        "interpretation": kept.interpretation if kept else "",
        "version": kept.revision if kept else 0,
    }
    form = SectionForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        save_section(
            report=report,
            name=title,
            observed=data["observed"],
            interpretation=data["interpretation"],
            revision=data["version"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"The section “{title.label}” of {report} is saved."

    page = FormPage(
        title=f"{title.label}: {report}",
        submit="Save this section",
        back=address(report, f"section-{name}"),
        lead=lead,
        draft=f"condition-section-{report.uid}-{name}",
        version=lambda: ReportSection.objects.get(report=report, name=name).revision,
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def section_take(request: SignedInRequest, uid: UUID, name: str) -> HttpResponse:
    """Open a section to write; the others see who has it."""
    report, title = _section_of(request, uid, name)
    role = writer(request, report)
    try:
        take_section(report=report, name=title, by=request.person, role=role, at=request.at)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect(address(report))
    return redirect("condition-section", report.uid, name)


@require_POST
@signed_in
def section_give_back(request: SignedInRequest, uid: UUID, name: str) -> HttpResponse:
    """Let go of a section, one's own or that of somebody who has gone home."""
    report, title = _section_of(request, uid, name)
    give_back = partial(give_back_section, report=report, name=title)
    said = f"The section “{title.label}” is free again."
    return press(request, report, give_back, said, f"section-{name}")


@signed_in
def conclusions(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Grade, stability, result, fitness."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = ConclusionsForm(request.POST or None, initial=conclusions_of(report))

    def act(data: dict[str, Any]) -> str:
        save_conclusions(
            report=report,
            conclusions=form.conclusions(),
            revision=data["version"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"The conclusions of {report} are saved."

    page = FormPage(
        title=f"Conclusions of {report}",
        submit="Save the conclusions",
        back=address(report, "conclusions"),
        lead="The grade is yours to choose; the worst finding stands beside it.",
        draft=f"condition-conclusions-{report.uid}",
        version=lambda: ConditionReport.objects.get(pk=report.pk).conclusions_revision,
    )
    return answer_form(request, form, act, page)
