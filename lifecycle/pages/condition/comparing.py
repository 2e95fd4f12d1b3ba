"""Two reports of one object side by side."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.condition.report import numbered
from lifecycle.pages.condition.seeing import seen_report
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.queries.condition.compare import compare
from lifecycle.queries.condition.known import signed_reports
from lifecycle.records.models.condition import ConditionReport, ReportFace


@require_GET
@signed_in
def comparison(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Compare a report with the one it names, or with the one that is asked for."""
    later = seen_report(request, uid)
    others = [r for r in signed_reports(later.museum_object) if r.pk != later.pk]
    earlier = _asked(request, later, others)
    if earlier is None:
        context = {"report": later, "others": others}
        return render(request, "condition/compare_none.html", context)
    both = compare(earlier, later)
    context = {
        "report": later,
        "both": both,
        "others": others,
        "pairs": [
            {
                "face": pair.face,
                "earlier": _drawing(pair.earlier, earlier),
                "later": _drawing(pair.later, later),
            }
            for pair in both.faces
        ],
    }
    return render(request, "condition/compare.html", context)


def _asked(
    request: SignedInRequest, later: ConditionReport, others: list[ConditionReport]
) -> ConditionReport | None:
    """The other report: the one asked for, else the one compared with, else the one before."""
    if asked := request.GET.get("with", ""):
        found = next((other for other in others if str(other.uid) == asked), None)
        if found is None:
            raise Http404
        return found
    if later.compared_with is not None:
        return later.compared_with
    return others[0] if others else None


def _drawing(face: ReportFace | None, report: ConditionReport) -> object:
    if face is None or face.picture is None:
        return ""
    seen = report.observations.filter(taken_back=False, feature__face=face.face)
    rows = list(seen.select_related("feature").order_by("feature__number"))
    return numbered(face.picture, rows, f"{face.face.label} in {report}", at=report.signed_at)
