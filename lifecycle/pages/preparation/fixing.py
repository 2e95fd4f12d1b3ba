"""How an object is fixed in its mount: add a step with a picture, write it anew, drop it."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST

from lifecycle.actions.preparation.fixing_steps import drop_fixing_step, write_fixing_step
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.preparation.mounts import seen_mount
from lifecycle.pages.preparation.record import do_and_return
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.preparation import FixingStep, Mount


class StepForm(forms.Form):
    """One step."""

    text = prose("What is done", rows=2, help_text="One hand’s work, in the order of doing.")
    picture = photo_field("Picture")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].required = True


@signed_in
def fixing_step_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Add a step to the ticket of a mount."""
    row, subject = seen_mount(request, uid)
    return _write(request, row, None, request.role_for(Deed.PREPARE, subject))


@signed_in
def fixing_step_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write a step anew."""
    step = _step(uid)
    row, subject = seen_mount(request, step.mount.uid)
    return _write(request, row, step, request.role_for(Deed.PREPARE, subject))


def _step(uid: UUID) -> FixingStep:
    return get_object_or_404(FixingStep.objects.select_related("mount"), uid=uid, dropped=False)


def _write(
    request: SignedInRequest, row: Mount, step: FixingStep | None, role: Any
) -> HttpResponse:
    initial = {"text": step.text} if step else {}
    form = StepForm(posted(request), request.FILES or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        received = receive_sent(data["picture"])
        shown = {"museum_object": row.museum_object, "taken_at": None, "taken_by": None}
        with transaction.atomic():
            kept = write_fixing_step(
                by=request.person,
                role=role,
                at=request.at,
                mount=row,
                step=step,
                text=data["text"],
                picture=keep_sent(request, role, received, PicturePurpose.MOUNT_FIT, **shown),
            )
        return f"Step {kept.number} of {row.mount_no} is written."

    page = FormPage(
        title=f"Step {step.number} of {row.mount_no}" if step else f"A step of {row.mount_no}",
        submit="Keep the step",
        back=reverse("mount", args=[row.uid]),
        lead="Steps stand on the mount ticket and on the sheet of the turn.",
        draft=f"fixing-{step.uid if step else row.uid}",
        cautions=cautions_of(row.museum_object, CautionFor.INSTALL),
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def fixing_step_drop(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a step off the ticket."""
    step = _step(uid)
    row, subject = seen_mount(request, step.mount.uid)
    return do_and_return(
        request,
        drop_fixing_step,
        deeds=(Deed.PREPARE,),
        subject=subject,
        said=f"Step {step.number} of {row.mount_no} is dropped.",
        to=reverse("mount", args=[row.uid]),
        step=step,
    )
