"""Answers that come from outside: a source community's, and a lender's writing on a deviation.

Nobody signs in for them: a member of staff puts on record who spoke, when and how, with the
writing or the note of what was said.
"""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404

from lifecycle.actions.signing import on_paper, with_account
from lifecycle.actions.treatment import decide_deviation
from lifecycle.actions.treatment.writing_back import read_writing_back
from lifecycle.pages.display.hands import password_field
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.consent import (
    ConsentForm,
    DecisionForm,
    context_of,
    kept_writing,
    offer_prints,
    offer_speakers,
)
from lifecycle.pages.treatment.seeing import (
    about_proposal,
    posted,
    proposal_address,
    seen_proposal,
    seen_version,
)
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.signed_text.treatment import CommunityWord
from lifecycle.queries.treatment.consenting import community_needed
from lifecycle.records.base import choices
from lifecycle.records.models.papers_out import Print
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import HowGiven, Proposal, TreatmentStep


class _ToldFields(forms.Form):
    """Who spoke for the community, when, how; and the hand of whoever puts it on record."""

    speaker = forms.CharField(label="Who spoke for the community", max_length=200)
    given_at = moment_field("When the answer was given")
    how = forms.TypedChoiceField(
        label="How it was given", choices=choices(HowGiven), coerce=HowGiven
    )
    scan = forms.FileField(
        label="The writing, or the note of what was said",
        help_text="A scan, a photograph or the mail as a PDF.",
    )


class CommunityForm(ConsentForm, _ToldFields):
    """Their answer on a version."""

    sheet = forms.ModelChoiceField(
        Print.objects.none(),
        to_field_name="uid",
        label="The print it was written on",
        required=False,
        empty_label="none of ours",
        help_text="It then counts as back, with this scan.",
    )
    password = password_field("Your password: you put it on record")


class CommunityDeviationForm(DecisionForm, _ToldFields):
    """Their answer on a deviation."""

    password = password_field("Your password: you put it on record")


class LenderDeviationForm(DecisionForm):
    """What the lender wrote about a deviation."""

    person = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Who wrote for the lender"
    )
    signed_at = moment_field("Date and time of the writing")
    scan = forms.FileField(label="The writing, scanned")


def _word(community: str, data: dict[str, Any]) -> CommunityWord:
    return CommunityWord(
        community=community,
        speaker=data["speaker"],
        how=data["how"],
        given_at=data["given_at"],
    )


@signed_in
def consent_community(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put on record what the source community answered on one version."""
    proposal, version = seen_version(request, uid)
    role = request.role_for(Deed.REGISTER, about_proposal(proposal))
    community = community_needed(version)
    if not community:
        raise Http404
    form = CommunityForm(posted(request), request.FILES or None)
    form.offer(version, list(proposal.museum_object.faces.order_by("order", "pk")))
    offer_prints(form, version)
    name = f"v{version.version} of {proposal.proposal_no}"

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        scan = kept_writing(request, role, data, f"Answer of {community} on {name}")
        read_writing_back(
            by=request.person,
            role=role,
            at=request.at,
            hand=with_account(
                person=request.person, role=role, password=data["password"], scan=scan
            ),
            version=version,
            decision=data["decision"],
            limits=data["limits"],
            valid_until=data["valid_until"],
            left_out=form.chosen(),
            sheet=data["sheet"],
            told=_word(community, data),
        )
        return f"The answer of {community} on {name} is on record."

    page = FormPage(
        title=f"The answer of {community} on {name}",
        submit="Put it on record",
        back=proposal_address(proposal),
        lead="They speak, you write it down: in their words, with the day on which they said it.",
        template="treatment/consent.html",
        more=context_of(proposal, version, request),
    )
    return answer_form(request, form, act, page)


@signed_in
def deviation_answer(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put on record what came from outside about a deviation: of the community, or the lender."""
    step = get_object_or_404(
        TreatmentStep.objects.select_related("version__proposal", "step", "observed_by"),
        uid=uid,
        deviation=True,
    )
    version = step.version
    if version is None:
        raise Http404
    proposal = seen_proposal(request, version.proposal.uid)
    role = request.role_for(Deed.REGISTER, about_proposal(proposal))
    community = community_needed(version)
    whose = request.GET.get("of", "")
    from_lender = proposal.museum_object.lender_id is not None
    if not community and not from_lender:
        raise Http404
    if community and not (from_lender and whose == "lender"):
        return _community_on(request, step, proposal, role, community)
    return _lender_on(request, step, proposal, role, community)


def _page(step: TreatmentStep, proposal: Proposal, who: str, community: str) -> FormPage:
    both = community and proposal.museum_object.lender_id
    return FormPage(
        title=f"The answer of {who} on a deviation in {proposal.proposal_no}",
        submit="Put it on record",
        back=proposal_address(proposal),
        lead=(
            f"{step.step.label}, by {step.observed_by}: {step.deviation_why} "
            "Nothing more is done under this proposal until everybody named agrees."
        ),
        template="treatment/deviation_answer.html",
        more={"both": both, "step": step, "community": community},
    )


def _community_on(
    request: SignedInRequest, step: TreatmentStep, proposal: Proposal, role: Role, community: str
) -> HttpResponse:
    form = CommunityDeviationForm(posted(request), request.FILES or None)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        title = f"Answer of {community} on a deviation in {proposal.proposal_no}"
        scan = kept_writing(request, role, data, title)
        decide_deviation(
            hand=with_account(
                person=request.person, role=role, password=data["password"], scan=scan
            ),
            at=request.at,
            step=step,
            decision=data["decision"],
            limits=data["limits"],
            told=_word(community, data),
        )
        return f"The answer of {community} on the deviation is on record."

    return answer_form(request, form, act, _page(step, proposal, community, community))


def _lender_on(
    request: SignedInRequest, step: TreatmentStep, proposal: Proposal, role: Role, community: str
) -> HttpResponse:
    form = LenderDeviationForm(posted(request), request.FILES or None)
    offer_speakers(form, proposal)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str:
        title = f"Lender's writing on a deviation in {proposal.proposal_no}"
        hand = on_paper(
            person=data["person"],
            role=Role.LENDER,
            scan=kept_writing(request, role, data, title),
            read_back_by=request.person,
            signed_at=data["signed_at"],
        )
        decide_deviation(
            hand=hand,
            at=request.at,
            step=step,
            decision=data["decision"],
            limits=data["limits"],
        )
        return "The lender's writing on the deviation is on record."

    return answer_form(request, form, act, _page(step, proposal, "the lender", community))
