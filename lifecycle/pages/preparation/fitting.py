"""Fit checks: the object tried in its mount, then signed by both."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.preparation.fitting import record_fit, sign_fit
from lifecycle.actions.refusals import NotAllowed
from lifecycle.actions.signing import with_account
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.preparation.mounts import seen_mount
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import SignForm, posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.preparation.people import holders_of, the_only
from lifecycle.records.base import choices
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.preparation import FitCheck, FitResult


class FitForm(forms.Form):
    """The object tried in its mount."""

    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Face")
    checked_at = moment_field("Tried at")
    object_present = forms.BooleanField(label="Tried with the object present", required=False)
    result = forms.TypedChoiceField(
        label="Result", choices=[("", "choose"), *choices(FitResult)], coerce=FitResult
    )
    note = prose("What was changed, or what does not fit", rows=2)
    mount_maker = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Mount maker"
    )
    conservator = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Conservator"
    )
    photo = photo_field("Picture of the object in its mount")


@signed_in
def fit_check(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write a fit check down; both named people then sign it."""
    row, subject = seen_mount(request, uid)
    role = request.role_for(Deed.PREPARE, subject)
    form = FitForm(posted(request), request.FILES or None, initial={"checked_at": request.at})
    fields: dict[str, Any] = form.fields
    fields["face"].queryset = Face.objects.filter(
        mount_faces__mount=row, mount_faces__dropped=False
    ).order_by("order", "pk")
    fields["mount_maker"].queryset = holders_of(Role.MOUNT_MAKER, request.at)
    fields["conservator"].queryset = holders_of(Role.CONSERVATOR, request.at)
    fields["face"].initial = the_only(fields["face"].queryset)
    for name, likely in (("mount_maker", row.with_whom), ("conservator", None)):
        offered = fields[name].queryset
        mine = offered.filter(pk=request.person.pk).exists()
        known = request.person if mine else likely
        fields[name].initial = known.uid if known is not None else the_only(offered)

    def act(data: dict[str, Any]) -> Done:
        received = receive_sent(data.pop("photo"), "photo")
        shown = {"face": data["face"], "taken_at": data["checked_at"]}
        with transaction.atomic():
            photo = keep_sent(request, role, received, PicturePurpose.MOUNT_FIT, **shown)
            check = record_fit(
                by=request.person, role=role, at=request.at, mount=row, photo=photo, **data
            )
        mine = request.person.pk in (check.mount_maker_id, check.conservator_id)
        address = reverse("fit-sign", args=[check.uid]) if mine else ""
        said = "The fit check is written; mount maker and conservator sign it."
        return Done(said, address)

    page = FormPage(
        title=f"Fit check of {row.mount_no}",
        submit="Write it down",
        back=reverse("mount", args=[uid]),
        lead="With the object present. Stop if anything presses, slips or catches.",
        cautions=cautions_of(row.museum_object, CautionFor.INSTALL),
    )
    return answer_form(request, form, act, page)


@signed_in
def fit_sign(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign a fit check as the mount maker or the conservator it names."""
    check = get_object_or_404(
        FitCheck.objects.select_related("mount__museum_object", "face"), uid=uid
    )
    row, _ = seen_mount(request, check.mount.uid)
    as_maker = check.mount_maker_id == request.person.pk
    if not as_maker and check.conservator_id != request.person.pk:
        raise NotAllowed("A fit check is signed by the two people it names, and by nobody else.")
    role = Role.MOUNT_MAKER if as_maker else Role.CONSERVATOR
    form = SignForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        sign_fit(hand=hand, at=request.at, check=check)
        return f"You signed the fit check of {row.mount_no} as {role.label}."

    page = FormPage(
        title=f"Sign the fit check of {row.mount_no}, {check.face.label}",
        submit="Sign",
        back=reverse("mount", args=[row.uid]),
        lead=f"Result: {check.get_result_display()}. {check.note}",
    )
    return answer_form(request, form, act, page)
