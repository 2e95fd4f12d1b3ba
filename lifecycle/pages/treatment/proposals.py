"""Proposals: open, write, send, read, begin the next version, drop."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.db import transaction
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
from lifecycle.actions.treatment.proposing import is_for_aftercare
from lifecycle.actions.treatment.sending import missing_of
from lifecycle.actions.treatment.weighing import unweighed
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.errors import conflict_page
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.sent_pictures import keep_sent, receive_sent
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
from lifecycle.process.stages import Role, Stage
from lifecycle.process.treatment_days import answer_due
from lifecycle.queries.changes import changes_of
from lifecycle.queries.days_off import days_off_on
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.queries.treatment.asking import asked_in_words, sent_to
from lifecycle.queries.treatment.on_showing import ProposalView, on_showing, proposal_view
from lifecycle.records.models import PaperKind
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.treatment import Proposal, ProposalVersion


class StartForm(forms.Form):
    """Nothing to fill in: what the proposal is for follows from where the showing stands."""


@signed_in
def proposal_start(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Open a proposal for the object of a showing; a press from elsewhere is enough."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.TREAT, about_showing(showing))
    form = StartForm(posted(request))

    def act(data: dict[str, Any]) -> Done:
        made = open_proposal(by=request.person, role=role, at=request.at, showing=showing)
        said = f"{made.proposal_no} is open{', for aftercare' if made.aftercare else ''}."
        return Done(said, reverse("proposal-write", args=[made.uid]))

    stands = f"The object stands at {Stage(showing.stage).label}, so this is"
    leg = "aftercare, after display." if is_for_aftercare(showing) else "treatment before display."
    page = FormPage(
        title=f"Propose treatment for {called(showing)}",
        submit="Open the proposal",
        back=showing_address(showing, "treatment"),
        lead=f"{stands} {leg} ‘Do nothing’ is always one of the options.",
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
    view = proposal_view(proposal, request.at)
    communities: dict[int | None, str] = {
        shown.version.pk: shown.community for shown in view.versions
    }
    context = {
        "proposal": proposal,
        "view": view,
        "may_treat": request.may(Deed.TREAT, about),
        "may_consent": request.may(Deed.CONSENT, about),
        "may_print": any(request.may(d, about) for d in TO_PRINT[PaperKind.TREATMENT_PROPOSAL]),
        "may_register": request.may(Deed.REGISTER, about),
        "deviations": [(step, communities[step.version_id]) for step in view.open_deviations],
        "asked": _asked(view),
        "back": back_of(proposal),
        "changes": changes_of(proposal),
    }
    return render(request, "treatment/proposal.html", context)


def _asked(view: ProposalView) -> str:
    """Whom the newest version went to and by when they answer, while one of them has not."""
    sent = [shown for shown in view.versions if shown.version.signed]
    if not sent or view.finished or view.proposal.dropped_at is not None:
        return ""
    waits = any(not consent.decided for consent in sent[0].consents)
    return asked_in_words(sent[0].version) if waits else ""


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
    whole = WholeVersionForm(posted(request), proposal, version, request.at, request.FILES or None)
    if request.method == "POST" and whole.is_valid():
        try:
            _save(request, role, version, whole)
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


def _save(
    request: SignedInRequest, role: Role, version: ProposalVersion, whole: WholeVersionForm
) -> None:
    """Keep the pictures that came with the form and save it, or keep nothing of either.

    :raises Refused: beside its field
    :raises Conflict: if somebody saved meanwhile
    """
    said = whole.form.cleaned_data
    received = [receive_sent(sent, "sent") for sent in said["sent"]]
    thing = version.proposal.museum_object
    shown = {"face": said["sent_face"], "museum_object": thing, "light": said["sent_light"]}
    with transaction.atomic():
        before = PicturePurpose.RECORD_BEFORE
        kept = [keep_sent(request, role, one, before, **shown) for one in received]
        write_version(
            by=request.person,
            role=role,
            at=request.at,
            version=version,
            edition=said["version"],
            draft=whole.draft([picture for picture in kept if picture is not None]),
        )


@signed_in
def proposal_send(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign a version and send it for consent."""
    proposal, version = seen_version(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    form = SignForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        sent = send_version(hand=hand, at=request.at, version=version)
        return f"v{version.version} of {proposal.proposal_no} is {asked_in_words(sent)}"

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
            "asked": sent_to(version, request.at),
            "due": answer_due(museum_day(request.at), days_off_on(museum_day(request.at))),
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
