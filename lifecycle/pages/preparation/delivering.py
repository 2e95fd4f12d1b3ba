"""Pictures of an imaging job: delivered with their checksums, accepted by who needs them."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.preparation.delivering import Delivery, deliver_files
from lifecycle.actions.preparation.imaging import accept_pictures
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import FilesField, reason_field
from lifecycle.pages.form_page import FormPage, answer_form, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.preparation.imaging import ASKING, for_light, most_light, seen_job
from lifecycle.pages.preparation.record import do_and_return
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.rights import Deed
from lifecycle.queries.preparation.people import holders_of
from lifecycle.records.base import choices
from lifecycle.records.models.people import Person
from lifecycle.records.models.preparation import ImagingJob, Target


class DeliverForm(forms.Form):
    """The files, and the light that was given for them."""

    picture = FilesField(label="Pictures", help_text="Several at once, if they belong together.")
    checksums = prose(
        "Checksums (SHA-256)",
        rows=2,
        help_text="One line a file, as sha256sum writes it: checksum, two spaces, name. A file "
        "that differs is not kept.",
    )
    taken_at = moment_field("Taken at")
    lit_minutes = forms.DecimalField(
        label="Lit for, minutes", min_value=0, max_value=1440, max_digits=6, decimal_places=1
    )
    lit_lux = forms.IntegerField(label="Light at the object, lx", min_value=0, max_value=200_000)
    handler = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Handled by", required=False
    )
    flashes = forms.IntegerField(
        label="Flashes", min_value=0, max_value=10_000, required=False, help_text="All of them."
    )
    flash_lux_s = forms.DecimalField(
        label="Light of one flash at the object, lx·s",
        min_value=0,
        max_value=1_000_000,
        max_digits=8,
        decimal_places=1,
        required=False,
        help_text="As a flash meter shows it. Flash alone: 0 minutes and 0 lx above.",
    )
    in_frame = forms.TypedMultipleChoiceField(
        label="In the frame",
        choices=choices(Target),
        coerce=Target,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    not_in_frame_why = reason_field("Why a target that was asked for is not in the frame")
    bit_depth = forms.IntegerField(label="Bit depth", min_value=1, max_value=64, required=False)
    colour_profile = forms.CharField(label="Colour profile", max_length=60, required=False)


@signed_in
def imaging_deliver(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Deliver pictures, and say what light they took."""
    job, subject = seen_job(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    form = DeliverForm(posted(request), request.FILES or None, initial={"taken_at": request.at})
    fields: dict[str, Any] = form.fields
    fields["not_in_frame_why"].required = False
    asked = ", ".join(one.label for one in Target if one in job.targets)
    fields["in_frame"].help_text = f"Asked for: {asked or 'nothing'}."
    fields["handler"].queryset = holders_of(None, request.at)
    fields["picture"].widget.attrs["accept"] = "image/*"

    def act(data: dict[str, Any]) -> str:
        files = data.pop("picture")
        flash = {"flashes": data["flashes"] or 0, "flash_lux_s": data["flash_lux_s"] or Decimal(0)}
        deliver_files(
            by=request.person,
            role=role,
            at=request.at,
            job=job,
            files=files,
            delivery=Delivery(**(data | flash)),
        )
        count = len(files)
        return f"{count} picture{'' if count == 1 else 's'} for {job.job_no} delivered."

    page = FormPage(
        title=f"Deliver pictures for {job.job_no}",
        submit="Deliver",
        back=reverse("imaging", args=[uid]),
        lead=f"{_limits(job)}All of it is charged to the light account of the face.",
        cautions=cautions_of(job.face.museum_object, for_light(job.light)),
    )
    return answer_form(request, form, act, page)


def _limits(job: ImagingJob) -> str:
    most = most_light(job)
    return f"Lit at most: {most}. " if most else ""


class InsteadForm(forms.Form):
    instead_because = reason_field("Why you accept them instead")


@signed_in
def imaging_accept(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Accept delivered pictures: a button for who needs them, a form with a reason for others."""
    job, subject = seen_job(request, uid)
    back = reverse("imaging", args=[uid])
    if job.needed_by.pk == request.person.pk and request.method == "POST":
        return do_and_return(
            request,
            accept_pictures,
            deeds=ASKING,
            subject=subject,
            said=f"{job.job_no} is accepted.",
            to=back,
            job=job,
        )
    role = role_for_one_of(request, ASKING, subject)
    form = InsteadForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        accept_pictures(by=request.person, role=role, at=request.at, job=job, **data)
        return f"{job.job_no} is accepted."

    page = FormPage(
        title=f"Accept the pictures of {job.job_no}",
        submit="Accept",
        back=back,
        lead=f"{job.needed_by.full_name} needs these pictures.",
    )
    return answer_form(request, form, act, page)
