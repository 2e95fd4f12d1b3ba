"""Captions: read and approve, write."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.preparation.captions import approve_caption, write_caption
from lifecycle.actions.refusals import Refused
from lifecycle.pages.display.seeing import called, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.rights import Deed
from lifecycle.queries.changes import changes_of
from lifecycle.queries.preparation.facts import faces_of
from lifecycle.queries.rights import about_showing
from lifecycle.records.models.objects import Face
from lifecycle.records.models.preparation import Caption

WRITING = (Deed.CHOOSE, Deed.PREPARE)


@require_GET
@signed_in
def captions(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The captions of a showing."""
    showing = seen_showing(request, uid)
    subject = about_showing(showing)
    rows = list(
        Caption.objects.filter(showing=showing)
        .select_related("face", "approved_by")
        .order_by("face__order", "pk")
    )
    context = {
        "showing": showing,
        "rows": [(row, changes_of(row, most=10)) for row in rows],
        "without": [f for f in faces_of(showing) if f.pk not in {row.face_id for row in rows}],
        "for_all": not any(row.face_id is None for row in rows),
        "may_write": may_one_of(request, WRITING, subject),
        "may_approve": request.may(Deed.CHOOSE, subject),
        "back": showing_address(showing, "preparation"),
        "called": called(showing),
    }
    return render(request, "preparation/captions.html", context)


class CaptionForm(forms.Form):
    """The words; ``version`` guards against overwriting somebody else's."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    text = forms.CharField(
        label="Caption", max_length=4000, widget=forms.Textarea(attrs={"rows": 6})
    )
    facsimile_wording = forms.CharField(
        label="Words about the facsimile",
        required=False,
        max_length=1000,
        help_text="Says that a facsimile is shown, and why.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )


@signed_in
def caption_write(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the caption of one face (``?face=``) or of all faces."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, WRITING, about_showing(showing))
    face = None
    if asked := request.GET.get("face", ""):
        faces = {str(f.uid): f for f in Face.objects.filter(museum_object=showing.museum_object)}
        face = faces.get(asked)
        if face is None:
            return redirect("caption", uid)
    row = Caption.objects.filter(showing=showing, face=face).first()
    form = CaptionForm(
        posted(request),
        initial={
            "version": row.edition if row else 0,
            "text": row.text if row else "",
            "facsimile_wording": row.facsimile_wording if row else "",
        },
    )

    def act(data: dict[str, Any]) -> str:
        write_caption(
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            face=face,
            text=data["text"],
            facsimile_wording=data["facsimile_wording"],
            edition=data["version"],
        )
        return "The caption is written; the curator approves it."

    page = FormPage(
        title=f"Caption of {called(showing)}{f', {face.label}' if face else ''}",
        submit="Keep the caption",
        back=reverse("caption", args=[uid]),
        lead="A changed caption has to be approved again.",
        draft=f"caption-{showing.uid}-{face.uid if face else 'all'}",
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def caption_approve(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Approve the text that was read."""
    row = get_object_or_404(Caption.objects.select_related("showing"), uid=uid)
    showing = seen_showing(request, row.showing.uid)
    role = request.role_for(Deed.CHOOSE, about_showing(showing))
    typed = request.POST.get("version", "")
    edition = int(typed) if typed.isdecimal() else -1
    try:
        approve_caption(by=request.person, role=role, at=request.at, caption=row, edition=edition)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The caption is approved.")
    return redirect("caption", showing.uid)
