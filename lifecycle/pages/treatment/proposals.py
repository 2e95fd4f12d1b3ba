"""Proposals: open, write, send, read, begin the next version, drop."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.actions.refusals import Conflict, Refused
from lifecycle.actions.signing import with_account
from lifecycle.actions.treatment import (
    drop_proposal,
    next_version,
    open_proposal,
    send_version,
    write_version,
)
from lifecycle.actions.treatment.sending import missing_of
from lifecycle.actions.treatment.weighing import unweighed
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.errors import conflict_page
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.treatment.forms import WholeVersionForm
from lifecycle.pages.treatment.seeing import (
    SignForm,
    about_proposal,
    back_of,
    posted,
    proposal_address,
    seen_proposal,
    seen_version,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.treatment_days import answer_due
from lifecycle.queries.changes import changes_of
from lifecycle.queries.days_off import days_off_on
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.queries.treatment.on_showing import on_showing, proposal_view
from lifecycle.records.models import PaperKind
from lifecycle.records.models.treatment import Proposal, ProposalVersion


class StartForm(forms.Form):
    """Before display, or after it."""

    aftercare = forms.BooleanField(label="Aftercare: the object comes off display", required=False)


@signed_in
def proposal_start(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Open a proposal for the object of a showing."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.TREAT, about_showing(showing))
    after = showing.stage in ("deinstall_check", "rehousing")
    form = StartForm(posted(request), initial={"aftercare": after})

    def act(data: dict[str, Any]) -> str:
        made = open_proposal(by=request.person, role=role, at=request.at, showing=showing, **data)
        return f"{made.proposal_no} is open.|{reverse('proposal-write', args=[made.uid])}"

    page = FormPage(
        title=f"Propose treatment for {called(showing)}",
        submit="Open the proposal",
        back=showing_address(showing, "treatment"),
        lead="‘Do nothing’ is always one of the options.",
        cautions=cautions_of(showing.museum_object, CautionFor.TREAT),
    )
    return answer_form(request, form, act, page)


@require_GET
@signed_in
def proposals_of(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Every proposal of one showing; the one that is not finished is opened at once."""
    showing = seen_showing(request, uid)
    unfinished = [p for p in on_showing(showing, request.at).proposals if not p.finished]
    open_ones = [view.proposal for view in unfinished if view.proposal.dropped_at is None]
    if len(open_ones) == 1:
        return redirect(proposal_address(open_ones[0]))
    return redirect(showing_address(showing, "treatment"))


@require_GET
@signed_in
def proposal_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One proposal: its versions, who said what, what was done under it."""
    proposal = seen_proposal(request, uid)
    about = about_proposal(proposal)
    context = {
        "proposal": proposal,
        "view": proposal_view(proposal, request.at),
        "may_treat": request.may(Deed.TREAT, about),
        "may_consent": request.may(Deed.CONSENT, about),
        "may_print": any(request.may(d, about) for d in TO_PRINT[PaperKind.TREATMENT_PROPOSAL]),
        "may_register": request.may(Deed.REGISTER, about),
        "from_outside": bool(
            proposal.museum_object.source_community or proposal.museum_object.lender_id
        ),
        "back": back_of(proposal),
        "changes": changes_of(proposal),
    }
    return render(request, "treatment/proposal.html", context)


@signed_in
def proposal_write(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the version that was not sent yet: words, options, materials and steps together."""
    proposal = seen_proposal(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    drafts = [version for version in proposal.versions.all() if not version.signed]
    if not drafts:
        messages.info(request, f"Every version of {proposal.proposal_no} was sent.")
        return redirect(proposal_address(proposal))
    version = drafts[0]
    whole = WholeVersionForm(posted(request), proposal, version, request.at)
    if request.method == "POST" and whole.is_valid():
        try:
            write_version(
                by=request.person,
                role=role,
                at=request.at,
                version=version,
                edition=whole.form.cleaned_data["version"],
                draft=whole.draft(),
            )
        except Conflict as conflict:
            return conflict_page(request, conflict, whole.form, back=proposal_address(proposal))
        except Refused as refused:
            refusal_to_form(whole.form, refused)
        else:
            messages.success(request, f"v{version.version} of {proposal.proposal_no} is saved.")
            if waiting := list(unweighed(version, request.at)):
                text = f"It raises {len(waiting)} caution{'s' if len(waiting) > 1 else ''} that"
                messages.warning(request, f"{text} want{'' if len(waiting) > 1 else 's'} a reason.")
                return redirect(f"{request.path}#cautions")
            again = "more" in request.POST
            return redirect(request.path if again else proposal_address(proposal))
    context = {
        "proposal": proposal,
        "version": version,
        "whole": whole,
        "back": proposal_address(proposal),
        "cautions": cautions_of(proposal.museum_object, CautionFor.TREAT),
        "view": proposal_view(proposal, request.at),
    }
    return render(request, "treatment/write.html", context)


@signed_in
def proposal_send(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign a version and send it for consent."""
    proposal, version = seen_version(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    form = SignForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        send_version(hand=hand, at=request.at, version=version)
        return f"v{version.version} of {proposal.proposal_no} is sent and frozen."

    page = FormPage(
        title=f"Send v{version.version} of {proposal.proposal_no}",
        submit="Sign and send",
        back=proposal_address(proposal),
        lead="Once sent it is frozen; a change is the next version, with consent of its own.",
        template="treatment/send.html",
        more={
            "proposal": proposal,
            "version": version,
            "missing": [] if version.signed else list(missing_of(version, request.at)),
            "view": proposal_view(proposal, request.at),
            "too_soon": _too_soon(version, request.at),
        },
    )
    return answer_form(request, form, act, page)


def _too_soon(version: ProposalVersion, at: datetime) -> date | None:
    """The day by which answers are due, where work is to start before it; nothing is barred."""
    today = museum_day(at)
    due = answer_due(today, days_off_on(today))
    start = version.start_not_before
    return due if not version.signed and start is not None and start < due else None


@require_POST
@signed_in
def proposal_next(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Begin the next version as a copy of the last."""
    proposal = get_object_or_404(Proposal, uid=uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    try:
        fresh = next_version(by=request.person, role=role, at=request.at, proposal=proposal)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect(proposal_address(proposal))
    messages.success(request, f"v{fresh.version} is begun; it needs consent of its own.")
    return redirect("proposal-write", proposal.uid)


class DropForm(forms.Form):
    """Why it is given up."""

    why = reason_field("Why it is dropped")


@signed_in
def proposal_drop(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Give a proposal up."""
    proposal = seen_proposal(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    form = DropForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        drop_proposal(by=request.person, role=role, at=request.at, proposal=proposal, **data)
        return f"{proposal.proposal_no} is dropped."

    page = FormPage(
        title=f"Drop {proposal.proposal_no}",
        submit="Drop the proposal",
        back=proposal_address(proposal),
        lead="Its versions and consents stay readable.",
    )
    return answer_form(request, form, act, page)
