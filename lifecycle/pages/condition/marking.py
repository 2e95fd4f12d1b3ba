"""Marks on a picture beyond the form: its scale, undoing the last change, and taking marks out."""

import json
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.condition.scale import Scale, mark_scale
from lifecycle.actions.condition.undoing import undo_finding
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.annotations import MEDIA_TYPE, collection
from lifecycle.pages.condition.findings import picture_under
from lifecycle.pages.condition.places import MarkingScale, ScaleForm, scale_initial
from lifecycle.pages.condition.report import numbered
from lifecycle.pages.condition.seeing import address, seen_finding, seen_report
from lifecycle.pages.condition.writing import writer
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.pictures import picture_address
from lifecycle.queries.marks import marks_of
from lifecycle.records.models import Picture
from lifecycle.records.models.condition import ReportFace


@signed_in
def scale(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Mark the ruler and the edges of the face on the picture of a face, once."""
    row = get_object_or_404(
        ReportFace.objects.select_related("face__thumbnail", "picture", "report"), uid=uid
    )
    report = seen_report(request, row.report.uid)
    role = writer(request, report)
    picture = picture_under(row)
    if picture is None:
        messages.error(request, f"“{row.face}” has no picture yet: add one, then mark its scale.")
        return redirect("condition-face", uid=row.uid)
    plane = marks_of([], pictures=[picture]).planes[picture.pk]
    form = ScaleForm(request.POST or None, initial=scale_initial(picture, plane))

    def act(data: dict[str, Any]) -> str:
        ruler, edges = form.points("ruler", plane), form.points("edges", plane)
        if form.errors:
            raise Refused([])
        mark_scale(
            row=row,
            picture=picture,
            scale=Scale(ruler=ruler, mm=data["mm"], edges=edges),
            by=request.person,
            role=role,
            at=request.at,
        )
        return f"The scale of the picture of “{row.face}” is marked."

    page = FormPage(
        title=f"Scale of the picture of “{row.face}”",
        submit="Mark the scale",
        back=address(report, "findings"),
        lead=(
            "Lengths and areas of marks come out in mm from a ruler in the picture. It has to lie "
            "in the plane of the object, and the camera to look squarely at it: otherwise measure "
            "on the object and type the figure."
        ),
        draft=f"condition-scale-{row.uid}",
        template="condition/scale.html",
        more={
            "drawing": numbered(picture, [], row.face.label),
            "scale": MarkingScale.of(plane),
        },
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def undo(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Undo the last change of a finding in a draft; once more does it again."""
    seen = seen_finding(request, uid)
    role = writer(request, seen.report)
    revision = request.POST.get("version", "")
    try:
        kept = undo_finding(
            observation=seen,
            revision=int(revision) if revision.isdecimal() else 0,
            by=request.person,
            role=role,
            at=request.at,
        )
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        number = seen.feature.number
        if kept.taken_back:
            messages.success(request, f"F{number} is taken back; its number is not used again.")
        else:
            messages.success(request, f"F{number} is as it was before the last change.")
    return redirect(address(seen.report, f"F{seen.feature.number}"))


@require_GET
@signed_in
def annotations(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The findings of a report as Web Annotations, to read beside its pictures."""
    report = seen_report(request, uid)
    rows = list(
        report.observations.filter(taken_back=False)
        .select_related("feature__face", "term", "marked_on", "written_by")
        .order_by("feature__number")
    )
    faces = report.report_faces.filter(dropped=False).select_related("picture")
    shown = {row.face_id: row.picture for row in faces if row.picture is not None}

    def where(picture: Picture) -> str:
        return request.build_absolute_uri(picture_address(picture, "original"))

    marks = marks_of(rows, at=report.signed_at)
    found = collection(report, rows, marks, pictures=shown, address=where)
    answer = HttpResponse(json.dumps(found, ensure_ascii=False, indent=1), content_type=MEDIA_TYPE)
    name = f"{report.report_no}-v{report.version}-findings.jsonld"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
