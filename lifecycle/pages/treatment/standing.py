"""Standing consents: the list, a new one, agreeing, ending."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.pictures import store_document
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    agree_standing_consent,
    end_standing_consent,
    write_standing_consent,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field, many_boxes, reason_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted, words_of
from lifecycle.process.bench_cautions import WET_STEPS
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.standing import AGREEING, READERS, standing_consents
from lifecycle.records.models.people import Organisation, OrganisationKind
from lifecycle.records.models.treatment import StandingConsent
from lifecycle.records.models.words import Vocabulary, Word


class StandingForm(forms.Form):
    """Minor steps agreed in advance for a class of object."""

    object_type = forms.ModelChoiceField(
        Word.objects.none(), to_field_name="uid", label="Class of object"
    )
    steps = forms.ModelMultipleChoiceField(
        Word.objects.none(),
        to_field_name="uid",
        label="Minor steps",
        widget=many_boxes(),
        help_text="Steps that bring moisture or solvent are never minor and are not offered.",
    )
    limits = prose("Limits", required=True)
    from_on = day_field("From")
    until_on = day_field("Until")
    lender = forms.ModelChoiceField(
        Organisation.objects.none(),
        to_field_name="uid",
        label="For objects of this lender",
        required=False,
        empty_label="the museum's own objects",
    )
    writing = forms.FileField(label="What the lender wrote, scanned", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["object_type"].queryset = words_of(Vocabulary.OBJECT_TYPE)
        steps = words_of(Vocabulary.TREATMENT_STEP).exclude(code__in=WET_STEPS)
        fields["steps"].queryset = steps
        fields["lender"].queryset = Organisation.objects.filter(
            kind=OrganisationKind.LENDER
        ).order_by("name")


def _may_see(request: SignedInRequest) -> None:
    if not READERS & request.facts.roles:
        raise NotAllowed("Standing consents are read by conservators, curators and registrars.")


@require_GET
@signed_in
def standing_list(request: SignedInRequest) -> HttpResponse:
    """All standing consents, newest first."""
    _may_see(request)
    context = {
        "rows": standing_consents(),
        "today": museum_day(request.at),
        "may_write": request.may(Deed.TREAT),
        "roles": [role for role in AGREEING if role in request.facts.roles],
    }
    return render(request, "treatment/standing.html", context)


@signed_in
def standing_new(request: SignedInRequest) -> HttpResponse:
    """Write a standing consent; it counts when two have agreed."""
    role = request.role_for(Deed.TREAT)
    form = StandingForm(posted(request), request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        sent = data.pop("writing")
        writing = None
        if sent is not None:
            writing = store_document(
                data=sent.read(),
                name=sent.name,
                title="A lender's writing on minor steps",
                by=request.person,
                role=role,
                at=request.at,
                field="writing",
            )
        made = write_standing_consent(
            by=request.person, role=role, at=request.at, lender_writing=writing, **data
        )
        return f"{made.standing_no} is written; curator and head of collections have to agree."

    page = FormPage(
        title="Ask for a standing consent",
        submit="Write it",
        back=reverse("standing-consents"),
        lead=(
            "Never for loans without the lender’s writing, never where an ink, moisture or media "
            "caution applies."
        ),
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def standing_agree(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Agree, as curator or as head of collections."""
    standing = get_object_or_404(StandingConsent, uid=uid)
    asked = request.POST.get("acting_role", "")
    held = [role for role in AGREEING if role in request.facts.roles]
    role = next((r for r in held if r.value == asked), held[0] if held else Role.CURATOR)
    try:
        agree_standing_consent(by=request.person, role=role, at=request.at, standing=standing)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"You agreed to {standing.standing_no} as {role.label}.")
    return redirect("standing-consents")


class EndForm(forms.Form):
    """Why it ends before its day."""

    why = reason_field("Why it ends")


@signed_in
def standing_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a standing consent."""
    standing = get_object_or_404(StandingConsent, uid=uid)
    held = [role for role in AGREEING if role in request.facts.roles]
    if not held:
        raise NotAllowed("A standing consent is ended by a curator or the head of collections.")
    form = EndForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        end_standing_consent(
            by=request.person, role=held[0], at=request.at, standing=standing, **data
        )
        return f"{standing.standing_no} is ended."

    page = FormPage(
        title=f"End {standing.standing_no}",
        submit="End it",
        back=reverse("standing-consents"),
        lead="Steps done under it keep naming it.",
    )
    return answer_form(request, form, act, page)
