"""A housing tried with the object, with pictures of the old one; a label written by hand."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.preparation.housing import label_housing, try_housing
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.preparation.housing import HANDS, PICTURES, seen_housing
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.records.base import choices
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.preparation import OldHousing, OldNotes


class TryForm(forms.Form):
    """Tried with the object, and what became of the old housing."""

    fits = forms.TypedChoiceField(
        label="Does it fit?",
        choices=[("", "choose"), ("yes", "it fits"), ("no", "it does not fit")],
        coerce=lambda value: value == "yes",
    )
    note = prose("What does not fit", rows=2)
    tried_at = moment_field("Tried at")
    old_housing = forms.TypedChoiceField(
        label="Old housing", choices=choices(OldHousing), coerce=OldHousing
    )
    old_notes = forms.TypedChoiceField(
        label="Notes on the old housing", choices=choices(OldNotes), coerce=OldNotes
    )
    old_notes_kept = prose("Where the copy or picture is", rows=2)
    contents_picture = photo_field("Picture of the object in its housing, for the label")
    old_housing_picture = photo_field("Picture of the old housing")
    old_notes_picture = photo_field("Picture of the notes on it")


@signed_in
def housing_try(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Record that it was tried with the object."""
    row, subject = seen_housing(request, uid)
    role = role_for_one_of(request, HANDS, subject)
    form = TryForm(posted(request), request.FILES or None, initial={"tried_at": request.at})

    def act(data: dict[str, Any]) -> str:
        received = {name: receive_sent(data[name], name) for name in PICTURES}
        shown = {"museum_object": row.museum_object, "taken_at": data["tried_at"]}
        old, other = PicturePurpose.OLD_HOUSING, PicturePurpose.OTHER
        with transaction.atomic():
            kept = {
                name: keep_sent(
                    request, role, sent, old if name.startswith("old") else other, **shown
                )
                for name, sent in received.items()
            }
            try_housing(by=request.person, role=role, at=request.at, housing=row, **data | kept)
        return f"{row.housing_no}: {'it fits' if data['fits'] else 'it does not fit'}."

    page = FormPage(
        title=f"{row.housing_no}, tried with the object",
        submit="Keep the result",
        back=reverse("housing", args=[uid]),
        lead="Pencil on the housing before the object goes in; no facsimile lies with it.",
        cautions=cautions_of(row.museum_object, CautionFor.MOVE),
    )
    return answer_form(request, form, act, page)


class LabelForm(forms.Form):
    """A label written by hand, in words."""

    says = prose("What stands on the label, word for word", rows=4)


@signed_in
def housing_label(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put a label on record that was written by hand; a printed one is on record already."""
    row, subject = seen_housing(request, uid)
    role = role_for_one_of(request, (*HANDS, Deed.REGISTER), subject)
    form = LabelForm(posted(request), initial={"says": row.label_says})

    def act(data: dict[str, Any]) -> str:
        label_housing(by=request.person, role=role, at=request.at, housing=row, **data)
        return f"The label of {row.housing_no} is on record."

    page = FormPage(
        title=f"{row.housing_no}, label written by hand",
        submit="Keep it",
        back=reverse("housing", args=[uid]),
        lead="Object number, what lies inside and how much, hazards in words, this way up, where "
        "to lift, until when it rests. Pencil, before the object goes in; nothing self-adhesive.",
        cautions=cautions_of(row.museum_object, CautionFor.MOVE),
    )
    return answer_form(request, form, act, page)
