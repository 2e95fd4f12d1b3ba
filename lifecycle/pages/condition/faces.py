"""Which faces a draft covers."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse

from lifecycle.actions.condition.faces import choose_faces
from lifecycle.pages.condition.seeing import address, seen_report
from lifecycle.pages.condition.writing import writer
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.records.models import Face


class FacesForm(forms.Form):
    faces = forms.ModelMultipleChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="Faces",
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )


@signed_in
def faces(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Cover one face more, or leave one out."""
    report = seen_report(request, uid)
    role = writer(request, report)
    covered = report.report_faces.filter(dropped=False).values_list("face__uid", flat=True)
    form = FacesForm(request.POST or None, initial={"faces": list(covered)})
    fields: dict[str, Any] = form.fields
    fields["faces"].queryset = report.museum_object.faces.order_by("order", "pk")
    fields["faces"].label_from_instance = lambda face: f"{face.label}: {face.landmark}"

    def act(data: dict[str, Any]) -> str:
        choose_faces(
            report=report, faces=list(data["faces"]), by=request.person, role=role, at=request.at
        )
        return f"The faces of {report} are saved."

    page = FormPage(
        title=f"Faces in {report}",
        submit="Save the faces",
        back=address(report, "findings"),
        lead="Known features of a face come with it as ‘not looked at’; a face left out takes "
        "its answers with it, and brings them back.",
    )
    return answer_form(request, form, act, page)
