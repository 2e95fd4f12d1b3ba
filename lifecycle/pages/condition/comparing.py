"""Two reports of one object side by side."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.pages.condition.report import numbered
from lifecycle.pages.condition.seeing import seen_report
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.queries.condition.compare import ComparedFace, Comparison, compare
from lifecycle.queries.condition.known import signed_reports
from lifecycle.queries.marks import Marks, marks_of
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace


@require_GET
@signed_in
def comparison(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Compare a report with the one it names, or with any other that is asked for."""
    report = seen_report(request, uid)
    others = [r for r in signed_reports(report.museum_object) if r.pk != report.pk]
    other = _asked(request, report, others)
    context: dict[str, Any] = {"report": report, "others": others}
    if other is None:
        return render(request, "condition/compare_none.html", context)
    both = compare(other, report)
    marks = _marks(both)
    pairs = [_pair(pair, both, marks) for pair in both.faces]
    context |= {"both": both, "chosen": other, "pairs": pairs}
    return render(request, "condition/compare.html", context)


def _asked(
    request: SignedInRequest, report: ConditionReport, others: Sequence[ConditionReport]
) -> ConditionReport | None:
    """The other report: the one asked for, else the one compared with, else the one before."""
    if asked := request.GET.get("with", ""):
        found = next((other for other in others if str(other.uid) == asked), None)
        if found is None:
            raise Http404
        return found
    if report.compared_with is not None:
        return report.compared_with
    return others[0] if others else None


def _marks(both: Comparison) -> tuple[Marks, Marks]:
    """The marks of either report on its pictures, as they were when it was signed."""
    earlier = marks_of(
        [row.earlier for row in both.features if row.earlier is not None],
        pictures=[pair.earlier.picture for pair in both.faces if pair.earlier is not None],
        at=both.earlier.signed_at,
    )
    later = marks_of(
        [row.later for row in both.features if row.later is not None],
        pictures=[pair.later.picture for pair in both.faces if pair.later is not None],
        at=both.later.signed_at,
    )
    return earlier, later


def _pair(pair: ComparedFace, both: Comparison, marks: tuple[Marks, Marks]) -> dict[str, Any]:
    """One face in both reports, each on its own picture with the numbers it had then."""
    here = [row for row in both.features if row.face.pk == pair.face.pk]
    earlier = [row.earlier for row in here if row.earlier is not None]
    later = [row.later for row in here if row.later is not None]
    return {
        "face": pair.face,
        "earlier": _drawing(pair.earlier, earlier, both.earlier, marks[0]),
        "later": _drawing(pair.later, later, both.later, marks[1]),
        "slide": _slide(pair),
    }


def _slide(pair: ComparedFace) -> str:
    """Where the later picture is laid over the earlier one; empty where there are not two."""
    one = pair.earlier.picture if pair.earlier else None
    other = pair.later.picture if pair.later else None
    if one is None or other is None or one.sha256 == other.sha256:
        return ""
    if one.face_id is None or one.face_id != other.face_id:
        return ""
    return f"{reverse('picture-look', args=[one.uid])}?over={other.uid}"


def _drawing(
    row: ReportFace | None, seen: list[Observation], report: ConditionReport, marks: Marks
) -> object:
    if row is None or row.picture is None:
        return ""
    return numbered(row.picture, seen, f"{row.face.label} in {report}", marks=marks)
