"""One report: the draft as a bench to write at, the signed one to read."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.draft import about_report
from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.reading_back.reading import deeds_to_read_back
from lifecycle.pages.condition.finding_forms import AdviceForm, LightForm, NotSeenForm
from lifecycle.pages.condition.mending import lacking
from lifecycle.pages.condition.places import MarkingScale
from lifecycle.pages.condition.seeing import (
    cautions_before,
    may_write,
    seen_report,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import may_one_of
from lifecycle.pages.pictures import finer_of, picture_address
from lifecycle.papers.drawing.numbered_picture import as_svg
from lifecycle.papers.filling.marks import grid_of, mark_words
from lifecycle.process.rights import Deed
from lifecycle.process.words import FeatureState, Grade, ReportKind
from lifecycle.queries.condition.sheet import FaceSheet, last_pictures, report_sheet
from lifecycle.queries.earlier_marks import lying_on
from lifecycle.queries.marks import Marks, marks_of
from lifecycle.queries.papers_out import sheets_out_of
from lifecycle.queries.rights import museum_day
from lifecycle.queries.signed_text.lines import grouped
from lifecycle.queries.signed_text.registry import text_of
from lifecycle.records.models import PaperKind, Print
from lifecycle.records.models.condition import ConditionReport, Observation
from lifecycle.records.models.condition.words import SectionName
from lifecycle.records.models.pictures import Picture

QUICK_ANSWERS = (
    FeatureState.SAME,
    FeatureState.WORSE,
    FeatureState.LESS,
    FeatureState.GONE,
    FeatureState.TREATED,
    FeatureState.NOT_LOOKED_AT,
    FeatureState.COULD_NOT_BE_SEEN,
)


def numbered(
    picture: Picture,
    seen: Sequence[Observation],
    what: str,
    *,
    marks: Marks | None = None,
    at: datetime | None = None,
) -> SafeString:
    """The picture of a face with its grid and numbers, as SVG in the page.

    ``marks`` of these findings and this picture where the caller has them already.
    """
    marks = marks or marks_of(seen, pictures=[picture], at=at)
    grid = grid_of(marks.planes.get(picture.pk))
    maps = lying_on(picture, seen, marks)
    drawn = (mark_words(row, marks, on=picture, grid=grid, maps=maps) for row in seen)
    shown = [mark for mark in drawn if mark is not None]
    named = ", ".join(f"F{mark.number}" for mark in shown) or "no finding yet"
    over = "the face" if grid else "the picture"
    svg = as_svg(
        href=picture_address(picture, "screen"),
        width=picture.width,
        height=picture.height,
        marks=shown,
        title=f"{what} with {named}; the grid over {over} runs from A1 top left to C3 bottom right",
        grid=grid,
        finer=finer_of(picture),
    )
    return mark_safe(svg)  # noqa: S308 (our own drawing; every text in it is escaped there)


def drawn_faces(
    faces: tuple[FaceSheet, ...], *, lent: bool = False, at: datetime | None = None
) -> list[dict[str, Any]]:
    """Each face with its drawing. ``lent``: a draft without a picture of its own yet borrows the
    last one on record, so that the findings have somewhere to stand.
    """
    bare = [sheet.row.face for sheet in faces if sheet.row.picture is None]
    earlier = last_pictures(bare) if lent and bare else {}
    shown = [sheet.row.picture or earlier.get(sheet.row.face_id) for sheet in faces]
    rows = [row.seen for sheet in faces for row in sheet.findings]
    marks = marks_of(rows, pictures=shown, at=at)
    drawn = []
    for sheet, picture in zip(faces, shown, strict=True):
        own = [row.seen for row in sheet.findings]
        label = sheet.row.face.label
        plane = marks.planes.get(picture.pk) if picture else None
        drawn.append(
            {
                "sheet": sheet,
                "drawing": numbered(picture, own, label, marks=marks) if picture else "",
                "borrowed": picture is not None and sheet.row.picture is None,
                "picture": picture,
                "scale": MarkingScale.of(plane) if plane else None,
                "marks": {row.pk: one.said for row in own if (one := marks.of(row)) is not None},
            }
        )
    return drawn


@require_GET
@signed_in
def report_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the draft, or read what was signed."""
    report = seen_report(request, uid)
    sheet = report_sheet(report)
    about = about_report(report)
    writing = may_write(request, report)
    context: dict[str, Any] = {
        "report": report,
        "sheet": sheet,
        "object": report.museum_object,
        "faces": drawn_faces(sheet.faces, lent=writing, at=report.signed_at),
        "unanswered": any(row.state is FeatureState.NOT_LOOKED_AT for row in sheet.findings),
        "known_before": any(row.state is not FeatureState.FIRST_RECORD for row in sheet.findings),
        "kind": ReportKind(report.kind),
        "writing": writing,
        "may_examine": request.may(Deed.EXAMINE, about),
        "may_print": any(request.may(deed, about) for deed in TO_PRINT[PaperKind.CONDITION_REPORT]),
        "may_countersign": report.signed
        and request.may(Deed.COUNTERSIGN, about)
        and request.person.pk not in {one.person_id for one in sheet.signatures},
        "grade_means": Grade(report.grade).with_meaning if report.grade else "",
        "digest": grouped(report.digest),
        "sheets_out": _sheets_out(request, report),
    }
    if writing:
        context |= _bench(request, report, sheet.sections)
        return render(request, "condition/draft.html", context)
    return render(request, "condition/report.html", context)


def _sheets_out(request: SignedInRequest, report: ConditionReport) -> list[Print]:
    """The prints of the report that are out, for who may read them back here."""
    about, sheets = about_report(report), list(sheets_out_of(report))
    return [one for one in sheets if may_one_of(request, deeds_to_read_back(one), about)]


def _bench(request: SignedInRequest, report: Any, sections: Any) -> dict[str, Any]:
    """What only the writing page needs."""
    written = {section.name: section for section in sections}
    taken = {
        section.name: section
        for section in report.sections.filter(taken_by__isnull=False).select_related("taken_by")
    }
    rows = [
        {
            "name": name,
            "label": str(name.label),
            "section": written.get(name.value),
            "taken": taken.get(name.value),
        }
        for name in SectionName
    ]
    not_seen = NotSeenForm()
    not_seen.fill(museum_day(request.at))
    return {
        "cautions": cautions_before(report),
        "section_list": [row for row in rows if row["section"] is not None],
        "unwritten": [row for row in rows if row["section"] is None],
        "reasons": lacking(
            report, reasons_against_signing(report, at=request.at, by=request.person)
        ),
        "light_form": LightForm(),
        "not_seen_form": not_seen,
        "advice_form": AdviceForm(),
        "answers": [(state.value, state.label) for state in QUICK_ANSWERS],
    }


@require_GET
@signed_in
def report_text(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The signed words as plain text, from which the digest can be computed again anywhere."""
    report = seen_report(request, uid)
    words = report.signed_text if report.signed else text_of(report)
    answer = HttpResponse(words, content_type="text/plain; charset=utf-8")
    name = f"{report.report_no}-v{report.version}{'' if report.signed else '-draft'}.txt"
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer
