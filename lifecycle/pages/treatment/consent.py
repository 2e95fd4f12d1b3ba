"""Decide on a version or a deviation; read a lender's writing back."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404

from lifecycle.actions.pictures import store_document
from lifecycle.actions.signing import on_paper, with_account
from lifecycle.actions.treatment import LeftOut, decide_deviation, give_consent
from lifecycle.actions.treatment.writing_back import read_writing_back
from lifecycle.pages.display.hands import password_field
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import (
    about_proposal,
    posted,
    proposal_address,
    seen_proposal,
    seen_version,
)
from lifecycle.process.rights import Deed, may
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import still_out_of
from lifecycle.queries.treatment.consenting import roles_needed
from lifecycle.queries.treatment.on_showing import proposal_view
from lifecycle.records.base import choices
from lifecycle.records.models.papers_out import Print
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.treatment import (
    Decision,
    Proposal,
    ProposalVersion,
    TreatmentStep,
)


class DecisionForm(forms.Form):
    """The decision on this version alone."""

    decision = forms.TypedChoiceField(
        label="Decision",
        choices=choices(Decision),
        coerce=Decision,
        widget=forms.RadioSelect,
    )
    limits = prose(
        "Limits, or what should change and why",
        help_text="Shown at the bench on top of everything.",
    )


class ConsentForm(DecisionForm):
    """The decision on a version, with the steps it leaves out and its last day."""

    left_out = forms.MultipleChoiceField(
        label="Steps I do not agree to",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Chosen only with ‘agree within limits’. The bench refuses them.",
    )
    valid_until = day_field(
        "Counts until",
        required=False,
        help_text="Empty: until it lapses by the house rules, after 12 months unless they differ.",
    )

    def offer(self, version: ProposalVersion, faces: list[Any]) -> None:
        self.by_key: dict[str, LeftOut] = {}
        for planned in version.steps.all():
            on = [planned.face] if planned.face else [None, *faces]
            for face in on:
                key = f"{planned.step.uid}:{face.uid if face else ''}"
                self.by_key[key] = LeftOut(step=planned.step, face=face)
        fields: dict[str, Any] = self.fields
        fields["left_out"].choices = [(key, line.label) for key, line in self.by_key.items()]

    def chosen(self) -> tuple[LeftOut, ...]:
        return tuple(self.by_key[key] for key in self.cleaned_data["left_out"])


class SignedConsentForm(ConsentForm):
    """Signed at the screen."""

    password = password_field("Your password, to sign")


class PaperConsentForm(ConsentForm):
    """What the lender wrote, read back by somebody else."""

    person = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Who wrote for the lender"
    )
    signed_at = moment_field("Date and time of the writing")
    scan = forms.FileField(label="The writing, scanned")
    sheet = forms.ModelChoiceField(
        Print.objects.none(),
        to_field_name="uid",
        label="The print it was written on",
        required=False,
        empty_label="none of ours",
        help_text="It then counts as back, with this scan.",
    )


@signed_in
def consent(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Read one version and decide on it."""
    proposal, version = seen_version(request, uid)
    role = _role_of(request, proposal, version)
    form = SignedConsentForm(posted(request))
    form.offer(version, list(proposal.museum_object.faces.order_by("order", "pk")))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        made = give_consent(
            hand=hand,
            at=request.at,
            version=version,
            decision=data["decision"],
            limits=data["limits"],
            valid_until=data["valid_until"],
            left_out=form.chosen(),
        )
        word = Decision(made.decision).label
        return f"Your decision on v{version.version} of {proposal.proposal_no}: {word}."

    page = FormPage(
        title=f"Decide on v{version.version} of {proposal.proposal_no}",
        submit="Sign the decision",
        back=proposal_address(proposal),
        lead=(
            f"You decide as {role.label}. The decision counts for this version only and does not "
            "pass on to a later one."
        ),
        template="treatment/consent.html",
        more=context_of(proposal, version, request),
    )
    return answer_form(request, form, act, page)


def _role_of(request: SignedInRequest, proposal: Proposal, version: ProposalVersion) -> Role:
    """The role this person decides in: one the version needs and they did not yet speak in.

    :raises NotAllowed: if none of their roles may consent here
    """
    about = about_proposal(proposal)
    first = request.role_for(Deed.CONSENT, about)
    open_to = [r for r in roles_needed(version) if may(request.facts, Deed.CONSENT, about, r)]
    spoken = {c.role for c in version.consents.all() if c.person_id == request.person.pk}
    unspoken = [role for role in open_to if role.value not in spoken]
    return (unspoken or open_to or [first])[0]


def context_of(
    proposal: Proposal, version: ProposalVersion, request: SignedInRequest
) -> dict[str, Any]:
    view = proposal_view(proposal, request.at)
    shown = next(v for v in view.versions if v.version.pk == version.pk)
    return {"proposal": proposal, "version": version, "view": view, "shown": shown}


def offer_prints(form: forms.Form, version: ProposalVersion) -> None:
    """Let the form name which print came back; the only one that is out is named already."""
    fields: dict[str, Any] = form.fields
    prints = still_out_of(version.uid)
    fields["sheet"].queryset = prints
    fields["sheet"].initial = prints[0].uid if len(prints) == 1 else None


def offer_speakers(form: forms.Form, proposal: Proposal) -> None:
    """Let the form name who wrote for the lender."""
    fields: dict[str, Any] = form.fields
    fields["person"].queryset = Person.objects.filter(
        organisation=proposal.museum_object.lender_id, organisation__isnull=False
    ).order_by("full_name", "pk")


def kept_writing(
    request: SignedInRequest, role: Role, data: dict[str, Any], title: str
) -> Document:
    """Keep the writing that came with a form, as the evidence of who is not here to sign."""
    return store_document(
        data=data["scan"].read(),
        name=data["scan"].name,
        title=title,
        by=request.person,
        role=role,
        at=request.at,
    )


@signed_in
def consent_on_paper(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Read back what the lender wrote about one version."""
    proposal, version = seen_version(request, uid)
    role = request.role_for(Deed.REGISTER, about_proposal(proposal))
    form = PaperConsentForm(posted(request), request.FILES or None)
    form.offer(version, list(proposal.museum_object.faces.order_by("order", "pk")))
    offer_prints(form, version)
    offer_speakers(form, proposal)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        title = f"Lender's writing on v{version.version} of {proposal.proposal_no}"
        hand = on_paper(
            person=data["person"],
            role=Role.LENDER,
            scan=kept_writing(request, role, data, title),
            read_back_by=request.person,
            signed_at=data["signed_at"],
        )
        read_writing_back(
            by=request.person,
            role=role,
            at=request.at,
            hand=hand,
            version=version,
            decision=data["decision"],
            limits=data["limits"],
            valid_until=data["valid_until"],
            left_out=form.chosen(),
            sheet=data["sheet"],
        )
        return f"The lender's writing on v{version.version} of {proposal.proposal_no} is on record."

    page = FormPage(
        title=f"The lender's writing on v{version.version} of {proposal.proposal_no}",
        submit="Keep the writing",
        back=proposal_address(proposal),
        lead="The time on the writing is the time of the decision.",
        template="treatment/consent.html",
        more=context_of(proposal, version, request),
    )
    return answer_form(request, form, act, page)


class DeviationForm(DecisionForm):
    """The decision on a deviation."""

    password = password_field("Your password, to sign")


@signed_in
def deviation(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Decide on a step that went beyond what was consented."""
    step = get_object_or_404(
        TreatmentStep.objects.select_related("version__proposal", "step", "observed_by"),
        uid=uid,
        deviation=True,
    )
    version = step.version
    if version is None:
        raise Http404
    proposal = seen_proposal(request, version.proposal.uid)
    role = _role_of(request, proposal, version)
    form = DeviationForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        decide_deviation(
            hand=hand,
            at=request.at,
            step=step,
            decision=data["decision"],
            limits=data["limits"],
        )
        return f"Your decision on the deviation in {proposal.proposal_no} is on record."

    page = FormPage(
        title=f"Decide on a deviation in {proposal.proposal_no}",
        submit="Sign the decision",
        back=proposal_address(proposal),
        lead=(
            f"{step.step.label}, by {step.observed_by}: {step.deviation_why} "
            "Nothing more is done under this proposal until everybody named agrees."
        ),
    )
    return answer_form(request, form, act, page)
