"""The treatment report: begin, write, pair the pictures, sign, second reading, correct."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.timezone import localtime

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import with_account
from lifecycle.actions.treatment import (
    co_sign,
    pair_pictures,
    second_read,
    sign_report,
    start_report,
    write_report,
)
from lifecycle.actions.treatment.reporting import treated_beside
from lifecycle.actions.whole_reports import ALWAYS_SAID, TEXTS, missing_of_report
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.faces_asked import face_asked
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.sent_pictures import Received, keep_sent, receive_sent
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import (
    SignForm,
    about_proposal,
    faces_of,
    posted,
    proposal_address,
    report_label,
    seen_proposal,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.queries.papers_out import still_out_of
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.queries.treatment.covering import standing_only
from lifecycle.queries.treatment.facts import faces_to_picture
from lifecycle.queries.treatment.on_showing import proposal_view
from lifecycle.queries.treatment.reading import reports_to_rest_on
from lifecycle.records.base import choices
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face
from lifecycle.records.models.papers_out import PaperKind
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture, PicturePurpose
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment import Proposal, TreatmentReport


class StartForm(forms.Form):
    """A report is begun; a signed one is corrected by a new version."""

    correction_why = prose("What the signed report has wrong, and why it is corrected")


class ReportForm(forms.Form):
    """The words of the report."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    summary = prose("What was done, in plain words")
    not_done = prose("What was left undone, and why")
    remaining_risks = prose("Remaining risks")
    new_limits = prose("New limits for handling and display")
    housing_advice = prose("Advice for the housing", rows=2)
    take_off = prose(
        "How what was put on can be taken off again",
        rows=2,
        help_text="For somebody who has to undo it decades from now.",
    )
    removed_kept_where = prose("Where removed matter is kept", rows=2)
    not_pictured = prose(
        "Faces that could not be pictured, and why",
        rows=2,
        help_text="Of a sheet both sides are pictured; leave empty when they were.",
    )
    callback_on = day_field("Look again on", required=False)
    after_check = forms.ModelChoiceField(
        ConditionReport.objects.none(),
        to_field_name="uid",
        label="Signed check after treatment",
        required=False,
    )
    second_reader = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Second reader", required=False
    )

    def offer(self, proposal: Proposal, report: TreatmentReport) -> None:
        fields: dict[str, Any] = self.fields
        fields["after_check"].queryset = reports_to_rest_on(proposal).filter(
            kind=ReportKind.AFTER_TREATMENT
        )
        fields["after_check"].label_from_instance = report_label
        for name in (*ALWAYS_SAID, "after_check"):
            fields[name].wanted = "signed"
        fields["second_reader"].queryset = (
            Person.objects.filter(roles__role=Role.CONSERVATOR)
            .exclude(pk=report.author_id)
            .distinct()
            .order_by("full_name", "pk")
        )


def _start(request: SignedInRequest, proposal: Proposal, *, correct: bool) -> HttpResponse:
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    form = StartForm(posted(request))
    if not correct:
        del form.fields["correction_why"]

    def act(data: dict[str, Any]) -> Done:
        start_report(by=request.person, role=role, at=request.at, proposal=proposal, **data)
        address = reverse("treatment-report", args=[proposal.uid])
        return Done(f"The report on {proposal.proposal_no} is begun.", address)

    word = "Correct" if correct else "Begin"
    page = FormPage(
        title=f"{word} the treatment report on {proposal.proposal_no}",
        submit="Begin the next version" if correct else "Begin the report",
        back=proposal_address(proposal),
        lead="Steps, materials and deviations come from the log by themselves.",
    )
    return answer_form(request, form, act, page)


@signed_in
def treatment_report(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The report of one proposal: begin it, write it, or read the signed one."""
    proposal = seen_proposal(request, uid)
    reports = list(proposal.reports.all())
    if not reports or (reports[-1].signed and "correct" in request.GET):
        return _start(request, proposal, correct=bool(reports))
    report = reports[-1]
    view = proposal_view(proposal, request.at)
    signatures = signatures_of(report)
    more = {
        "proposal": proposal,
        "report": report,
        "view": view,
        "signatures": signatures,
        "pairs": list(report.pairs.all()),
        "may_treat": request.may(Deed.TREAT, about_proposal(proposal)),
        "may_print": may_one_of(
            request, TO_PRINT[PaperKind.TREATMENT_REPORT], about_proposal(proposal)
        ),
        "may_read": _may_read(request, report, signatures),
        "may_co_sign": _may_co_sign(request, proposal, report, signatures),
        "sheets_out": list(still_out_of(report.uid)),
        "to_pair": [] if report.signed else _to_pair(proposal, report),
    }
    initial = {name: getattr(report, name) for name in (*TEXTS, "callback_on")} | {
        "version": report.edition,
        "after_check": report.after_check.uid if report.after_check else None,
        "second_reader": report.second_reader.uid if report.second_reader else None,
    }
    if not report.removed_kept_where:
        kept = dict.fromkeys(step.removed_where for step in standing_only(view.steps))
        initial["removed_kept_where"] = "; ".join(where for where in kept if where)
    form = ReportForm(posted(request), initial=initial)
    form.offer(proposal, report)
    if not report.signed and more["may_treat"]:
        more["missing"] = list(missing_of_report(report, proposal, report.author, request.at))

    def act(data: dict[str, Any]) -> str:
        role = request.role_for(Deed.TREAT, about_proposal(proposal))
        write_report(
            by=request.person,
            role=role,
            at=request.at,
            report=report,
            edition=data["version"],
            words={name: data[name] for name in TEXTS},
            callback_on=data["callback_on"],
            after_check=data["after_check"],
            second_reader=data["second_reader"],
        )
        return f"The report on {proposal.proposal_no} is saved."

    page = FormPage(
        title=f"Treatment report on {proposal.proposal_no}",
        submit="Save the report",
        back=reverse("treatment-report", args=[uid]),
        draft=f"treatment-report-{report.uid}",
        cautions=cautions_of(proposal.museum_object, CautionFor.TREAT),
        template="treatment/report.html",
        more=more,
    )
    return answer_form(request, form, act, page)


def _may_read(
    request: SignedInRequest, report: TreatmentReport, signatures: list[Signature]
) -> bool:
    """Whether this person may still sign as second reader."""
    signed = {signature.person_id for signature in signatures}
    named = report.second_reader_id in (None, request.person.pk)
    return (
        named and request.may(Deed.EXAMINE) and request.person.pk not in {report.author_id, *signed}
    )


def _to_pair(proposal: Proposal, report: TreatmentReport) -> list[Face]:
    """The faces that are wanted before and after and have no pair of pictures yet."""
    paired = {pair.face_id for pair in report.pairs.all()}
    faces = faces_to_picture(proposal, list(faces_of(proposal.museum_object)), report)
    return [face for face in faces if face.pk not in paired]


def _may_co_sign(
    request: SignedInRequest,
    proposal: Proposal,
    report: TreatmentReport,
    signatures: list[Signature],
) -> bool:
    """Whether this person treated beside the author, may still sign, and has not yet."""
    return (
        report.signed
        and request.may(Deed.TREAT, about_proposal(proposal))
        and request.person.pk in treated_beside(report, proposal)
        and request.person.pk not in {signature.person_id for signature in signatures}
    )


def _seen_report(request: SignedInRequest, uid: UUID) -> tuple[Proposal, TreatmentReport]:
    report = get_object_or_404(
        TreatmentReport.objects.select_related("proposal", "author", "second_reader"), uid=uid
    )
    return seen_proposal(request, report.proposal.uid), report


class PairForm(forms.Form):
    """Two pictures of one face; one is chosen from those on record or sent now."""

    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Face")
    before = forms.ModelChoiceField(
        Picture.objects.none(), to_field_name="uid", label="Before, on record", required=False
    )
    after = forms.ModelChoiceField(
        Picture.objects.none(), to_field_name="uid", label="After, on record", required=False
    )
    before_file = photo_field("Or send the picture before")
    before_taken_at = moment_field("Taken at", required=False)
    after_file = photo_field("Or send the picture after")
    after_taken_at = moment_field("Taken at (after)", required=False)
    light = forms.TypedChoiceField(
        label="Light of the pictures you send",
        choices=choices(LightKind),
        coerce=LightKind,
        help_text="The same light before and after, or they can’t be compared.",
    )

    def offer(self, proposal: Proposal, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["face"].queryset = faces_of(proposal.museum_object)
        asked = face_asked(request, fields["face"].queryset)
        fields["face"].initial = asked.uid if asked is not None else None
        pictures = (
            Picture.objects.filter(
                face__museum_object=proposal.museum_object, taken_at__isnull=False
            )
            .exclude(light="")
            .select_related("face")
            .order_by("-taken_at", "-pk")
        )
        for name in ("before", "after"):
            fields[name].queryset = pictures
            fields[name].label_from_instance = _pair_label


def _pair_label(picture: Any) -> str:
    taken = localtime(picture.taken_at)
    return (
        f"{picture.face.label}, {picture.get_light_display()}, "
        f"{day_words(taken)}, {taken:%H:%M}, {picture.name}"
    )


def _where_sent(reason: Reason, received: Mapping[str, Received | None]) -> Reason:
    """What is against a picture that was sent stands beside its file, not beside the list."""
    sent = received.get(reason.field) is not None
    return replace(reason, field=f"{reason.field}_file") if sent else reason


@signed_in
def report_pair(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put before and after of one face side by side."""
    proposal, report = _seen_report(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    form = PairForm(posted(request), request.FILES or None)
    form.offer(proposal, request)

    received: dict[str, Received | None] = {}

    def picture(data: dict[str, Any], name: str, purpose: PicturePurpose) -> Picture:
        if received[name] is not None and data[f"{name}_taken_at"] is None:
            raise Refused(Reason("Say when it was taken.", f"{name}_taken_at"))
        shown = {"face": data["face"], "light": data["light"], "taken_by": None}
        shown["taken_at"] = data[f"{name}_taken_at"]
        found = keep_sent(request, role, received[name], purpose, **shown) or data[name]
        if not isinstance(found, Picture):
            raise Refused(Reason("Choose a picture on record, or send one.", name))
        return found

    def act(data: dict[str, Any]) -> str:
        for name in ("before", "after"):
            received[name] = receive_sent(data[f"{name}_file"], f"{name}_file")
        try:
            with transaction.atomic():
                pair = pair_pictures(
                    by=request.person,
                    role=role,
                    at=request.at,
                    report=report,
                    face=data["face"],
                    before=picture(data, "before", PicturePurpose.RECORD_BEFORE),
                    after=picture(data, "after", PicturePurpose.RECORD_AFTER),
                )
        except Refused as refused:
            raise Refused([_where_sent(reason, received) for reason in refused.reasons]) from None
        return f"Before and after of {pair.face.label} stand side by side."

    page = FormPage(
        title=f"Pictures before and after, {proposal.proposal_no}",
        submit="Put side by side",
        back=reverse("treatment-report", args=[proposal.uid]),
    )
    return answer_form(request, form, act, page)


@signed_in
def report_sign(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign the report; from then on it is frozen."""
    proposal, report = _seen_report(request, uid)
    beside = _may_co_sign(request, proposal, report, signatures_of(report))
    second = report.signed and not beside
    about = about_proposal(proposal)
    role = request.role_for(Deed.EXAMINE) if second else request.role_for(Deed.TREAT, about)
    form = SignForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        deed = second_read if second else co_sign if beside else sign_report
        deed(hand=hand, at=request.at, report=report)
        return f"You signed the report on {proposal.proposal_no}."

    words = "Sign as second reader" if second else "Sign"
    if beside:
        words = "Sign as one who treated"
    page = FormPage(
        title=f"{words}: treatment report on {proposal.proposal_no}",
        submit="Sign",
        back=reverse("treatment-report", args=[proposal.uid]),
        lead="A signed report is never changed; a correction is a new version.",
    )
    return answer_form(request, form, act, page)
