"""Imaging jobs: ask, read, send back, drop."""

from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.preparation.imaging import (
    ImagingAsked,
    ask_for_pictures,
    drop_imaging,
    send_pictures_back,
)
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.faces_asked import face_asked
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.preparation.record import (
    Fact,
    RecordPage,
    Way,
    WhyForm,
    about,
    back_to,
    show_record,
    text,
    who,
)
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.preparation.facts import faces_of
from lifecycle.queries.preparation.people import holders_of, the_only
from lifecycle.queries.rights import about_showing
from lifecycle.queries.worked_back import schedule_of
from lifecycle.records.base import choices
from lifecycle.records.models.objects import Face
from lifecycle.records.models.papers_out import PaperKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.preparation import (
    ImagingFile,
    ImagingJob,
    ImagingPurpose,
    ObjectPosition,
    Target,
)
from lifecycle.records.models.showings import Showing

ASKING = (Deed.PREPARE, Deed.CHOOSE)


class AskForm(forms.Form):
    """What is asked of the photographer."""

    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Face")
    purpose = forms.TypedChoiceField(
        label="Purpose", choices=choices(ImagingPurpose), coerce=ImagingPurpose
    )
    due_on = day_field("Due on", required=False)
    needed_because = forms.CharField(label="Needed because", max_length=500)
    with_whom = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Photographer", required=False
    )
    for_whom = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Who needs them",
        required=False,
        help_text="Accepts the pictures when they are delivered; empty: you.",
    )
    resolution_ppi = forms.IntegerField(
        label="Resolution, ppi", min_value=1, max_value=10_000, initial=600
    )
    size_mm = forms.CharField(
        label="Size at 100 %, mm",
        max_length=40,
        required=False,
        help_text="Height and width, as 210 × 297.",
    )
    light = forms.TypedChoiceField(label="Light", choices=choices(LightKind), coerce=LightKind)
    light_direction = forms.CharField(
        label="Direction of the light",
        max_length=60,
        required=False,
        help_text="As a clock seen from the front; raking light needs one.",
    )
    uv_filtered = forms.BooleanField(label="UV filtered", required=False, initial=True)
    limit_minutes = forms.DecimalField(
        label="Lit at most, minutes", max_digits=6, decimal_places=1, required=False
    )
    limit_lux = forms.IntegerField(label="Lit at most, lx", required=False)
    position = forms.TypedChoiceField(
        label="How the object lies", choices=choices(ObjectPosition), coerce=ObjectPosition
    )
    target_number = forms.BooleanField(label="Object number in frame", required=False, initial=True)
    target_scale = forms.BooleanField(label="Scale in frame", required=False, initial=True)
    target_colour = forms.BooleanField(label="Colour target in frame", required=False, initial=True)
    target_grey = forms.BooleanField(label="Grey target in frame", required=False, initial=True)

    def offer(self, showing: Showing, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        wanted = [face.pk for face in faces_of(showing)]
        fields["face"].queryset = Face.objects.filter(museum_object=showing.museum_object).order_by(
            "order", "pk"
        )
        asked = face_asked(request, fields["face"].queryset)
        if asked is not None:
            fields["face"].initial = asked.uid
        elif wanted:
            fields["face"].initial = Face.objects.get(pk=wanted[0]).uid
        fields["with_whom"].queryset = holders_of(Role.PHOTOGRAPHER, request.at)
        fields["with_whom"].initial = the_only(fields["with_whom"].queryset)
        fields["for_whom"].queryset = holders_of(None, request.at)
        fields["for_whom"].initial = request.person.uid
        fields["due_on"].help_text = _worked_back(showing, request)


def _worked_back(showing: Showing, request: SignedInRequest) -> str:
    """Which day is taken when none is typed, with what it comes from."""
    schedule = schedule_of(showing, request.at)
    pictures = schedule.pictures(ImagingPurpose.PUBLICATION, 0)
    lines = ["Empty: worked back from the plan."]
    for period in schedule.periods:
        due = schedule.pictures(ImagingPurpose.FACSIMILE_MASTER, period.face_id)
        if due.on is not None and due.on != pictures.on:
            lines.append(f"Master of {period.label}: {day_words(due.on)}. {due.because}")
    if pictures.on is not None:
        lines.append(f"Other pictures: {day_words(pictures.on)}. {pictures.because}")
    return " ".join(lines)


def for_light(light: str) -> CautionFor:
    """What the photographer has to know first: a UV lamp asks for more."""
    return CautionFor.EXAMINE_UV if light == LightKind.UV_FLUORESCENCE else CautionFor.EXAMINE


@signed_in
def imaging_ask(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for pictures of one face."""
    showing = seen_showing(request, uid)
    role = role_for_one_of(request, ASKING, about_showing(showing))
    form = AskForm(posted(request), initial={"purpose": request.GET.get("purpose", "")})
    form.offer(showing, request)

    def act(data: dict[str, Any]) -> Done:
        job = ask_for_pictures(
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            asked=ImagingAsked(**data),
        )
        return Done(f"{job.job_no} is asked for.", reverse("imaging", args=[job.uid]))

    page = FormPage(
        title=f"Ask for pictures of {called(showing)}",
        submit="Ask for the pictures",
        back=showing_address(showing, "preparation"),
        # The light is chosen on this very form, so the lamp that needs goggles is named on it.
        cautions=cautions_of(showing.museum_object, CautionFor.EXAMINE_UV),
        lead="The picture before treatment may not be skipped. Light for pictures is charged.",
    )
    return answer_form(request, form, act, page)


def seen_job(request: SignedInRequest, uid: UUID) -> tuple[ImagingJob, SubjectFacts]:
    job = get_object_or_404(
        ImagingJob.objects.select_related(
            "face__museum_object",
            "showing__exhibition",
            "with_whom",
            "handler",
            "asked_by",
            "for_whom",
            "delivered_by",
            "accepted_by",
        ),
        uid=uid,
    )
    subject = about(job.showing, job.face.museum_object)
    request.role_for(Deed.SEE_SHOWING, subject)
    return job, subject


@require_GET
@signed_in
def imaging(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One imaging job."""
    job, subject = seen_job(request, uid)
    state, because = _state(job), _because(job, request)
    ways = []
    open_job = job.accepted_at is None and job.dropped_at is None
    if open_job and request.may(Deed.PREPARE, subject):
        address = reverse("imaging-deliver", args=[uid])
        ways.append(Way(href=address, label="Deliver pictures", main=job.delivered_at is None))
    judge = may_one_of(request, ASKING, subject) and job.delivered_by_id != request.person.pk
    if open_job and job.delivered_at is not None and judge:
        mine = job.needed_by.pk == request.person.pk
        address = reverse("imaging-accept", args=[uid])
        ways += [
            Way(href=address, label="Accept", post=mine, main=mine),
            Way(href=reverse("imaging-back", args=[uid]), label="Ask for better ones"),
        ]
    if open_job and may_one_of(request, ASKING, subject):
        ways.append(Way(href=reverse("imaging-drop", args=[uid]), label="No longer needed"))
    if job.dropped_at is None and may_one_of(request, TO_PRINT[PaperKind.IMAGING_TICKET], subject):
        address = reverse("print-new", args=[PaperKind.IMAGING_TICKET.value, uid])
        ways.append(Way(href=address, label="Print the ticket"))
    files = list(job.files.select_related("picture", "delivered_by").order_by("pk"))
    page = RecordPage(
        title=f"Imaging job {job.job_no}",
        museum_object=job.face.museum_object,
        back=back_to(job.showing, job.face.museum_object),
        record=job,
        mark=state[0],
        word=state[1],
        notices=list(_notices(job)),
        pictures=[line.picture for line in files],
        ways=ways,
        facts=[
            text("Face", job.face.label),
            text("Purpose", job.get_purpose_display()),
            Fact(label="Due", day=job.due_on),
            *([text("Worked back", because)] if because else []),
            who("Needed by", job.needed_by),
            text("Needed because", job.needed_because),
            who("Asked by", job.asked_by, job.asked_at),
            text("Photographer", job.with_whom or ""),
            Fact(label="Resolution", number=job.resolution_ppi, unit="ppi"),
            text("Size at 100 %, mm", job.size_mm),
            text("In frame", ", ".join(one.label for one in Target if one in job.targets)),
            text("Light", f"{job.get_light_display()} {job.light_direction}".strip()),
            text("UV filtered", "yes" if job.uv_filtered else "no"),
            text("How the object lies", job.get_position_display()),
            text("Lit at most", most_light(job)),
            who("Handled by", job.handler),
            *(_given(job) if job.lux_hours is not None else []),
            *([who("Accepted by", job.accepted_by, job.accepted_at)] if job.delivered_at else []),
        ],
    )
    cautions = cautions_of(job.face.museum_object, for_light(job.light))
    return show_record(request, page, cautions=cautions, tables=[_files(files)] if files else [])


def _breakable(checksum: str) -> SafeString:
    """The whole checksum, where a narrow column may break it; it is copied in one piece."""
    parts = ((checksum[at : at + 16],) for at in range(0, len(checksum), 16))
    return format_html_join(mark_safe("<wbr>"), "{}", parts)


def _files(files: Sequence[ImagingFile]) -> dict[str, Any]:
    """What was delivered, with the whole checksum and whether one came with the file."""
    return {
        "title": "Files",
        "heads": ["File", "Format", "Pixels", "Bit depth, profile", "SHA-256", "Delivered"],
        "rows": [
            {
                "cells": [
                    line.picture.name,
                    line.picture.mime,
                    f"{line.picture.width} × {line.picture.height}",
                    ", ".join(str(part) for part in (line.bit_depth, line.colour_profile) if part),
                    format_html(
                        "{}, {}",
                        _breakable(line.picture.sha256),
                        "compared with the one given" if line.said_sha256 else "none was given",
                    ),
                    line.delivered_by.full_name,
                ]
            }
            for line in files
        ],
        "empty": "",
    }


def most_light(job: ImagingJob) -> str:
    """The limits that were set, as '10 min and 600 lx'; nothing where none was."""
    most = [
        f"{value:,f} {unit}" if unit == "min" else f"{value:,} {unit}"
        for value, unit in ((job.limit_minutes, "min"), (job.limit_lux, "lx"))
        if value is not None
    ]
    return " and ".join(most)


def _given(job: ImagingJob) -> list[Fact]:
    """What the delivery says; a line of flashes only where there were some."""
    flash = [
        Fact(label="Flashes", number=job.flashes),
        Fact(label="Light of one flash", number=job.flash_lux_s, unit="lx·s"),
    ]
    return [
        Fact(label="Lit for", number=job.lit_minutes, unit="min"),
        Fact(label="Light at the object", number=job.lit_lux, unit="lx"),
        *(flash if job.flashes else []),
        Fact(label="Light given", number=job.lux_hours, unit="lx·h"),
        who("Delivered by", job.delivered_by, job.delivered_at),
    ]


def _notices(job: ImagingJob) -> Iterator[str]:
    if job.not_in_frame:
        yield f"Not in the frame: {job.not_in_frame}. {job.not_in_frame_why}"
    if job.sent_back_why:
        yield f"Sent back: {job.sent_back_why}"
    if job.lit_minutes is not None and job.limit_minutes and job.lit_minutes > job.limit_minutes:
        yield f"Lit for {job.lit_minutes:f} min; {job.limit_minutes:f} min were the most asked for."
    if job.lit_lux is not None and job.limit_lux and job.lit_lux > job.limit_lux:
        yield f"Lit with {job.lit_lux:,} lx; {job.limit_lux:,} lx were the most asked for."


def _because(job: ImagingJob, request: SignedInRequest) -> str:
    """The day that follows from the plan as it stands today, where that is another one."""
    if job.showing is None or job.accepted_at is not None:
        return ""
    due = schedule_of(job.showing, request.at).pictures(ImagingPurpose(job.purpose), job.face_id)
    return due.because if due.on in (None, job.due_on) else f"{day_words(due.on)}. {due.because}"


def _state(job: ImagingJob) -> tuple[str, str]:
    if job.dropped_at is not None:
        return "square", f"dropped: {job.dropped_why}"
    if job.accepted_at is not None:
        return "done", "accepted"
    if job.delivered_at is not None:
        return "with_someone", "delivered, to be accepted"
    return ("with_someone", "with the photographer") if job.with_whom else ("to_do", "asked")


def _why(request: SignedInRequest, uid: UUID, deed: Any, title: str, said: str) -> HttpResponse:
    job, subject = seen_job(request, uid)
    role = role_for_one_of(request, ASKING, subject)
    form = WhyForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        deed(by=request.person, role=role, at=request.at, job=job, why=data["why"])
        return said.format(job.job_no)

    page = FormPage(
        title=title.format(job.job_no), submit="Say so", back=reverse("imaging", args=[uid])
    )
    return answer_form(request, form, act, page)


@signed_in
def imaging_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for better pictures."""
    return _why(
        request, uid, send_pictures_back, "What the pictures for {} lack", "{} is asked for again."
    )


@signed_in
def imaging_drop(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Give an imaging job up."""
    return _why(request, uid, drop_imaging, "Why {} is no longer needed", "{} is dropped.")
