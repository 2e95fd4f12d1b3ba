"""The steward's page: mails that need a decision, background work, and the machine's health."""

from collections.abc import Callable
from typing import Final
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import mail, rows
from lifecycle.actions.work.backing_up import ask_for_backup
from lifecycle.actions.work.checking import ask_for_check
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.first_steps import steps_for
from lifecycle.process.rights import Deed
from lifecycle.queries.backups import last_backups
from lifecycle.queries.health import health
from lifecycle.queries.letters import last_letters, last_messages, newest_work, troubled_mails
from lifecycle.records.models.work import Letter, Message, Work

KINDS: Final[dict[str, type[Letter | Message]]] = {"letter": Letter, "message": Message}


@require_safe
@signed_in
def steward(request: SignedInRequest) -> HttpResponse:
    """Show what needs the steward; everybody else is turned away."""
    if not request.may(Deed.STEWARD):
        raise NotAllowed("This page is for the records steward.")
    context = {
        "mails": troubled_mails(at=request.at),
        "letters": last_letters(at=request.at),
        "messages_told": last_messages(at=request.at),
        "works": newest_work(),
        "backups": last_backups(most=10),
        "kept": settings.BACKUPS_KEPT,
        "parts": health(at=request.at),
        "steps": steps_for(request),
    }
    return render(request, "steward/steward.html", context)


@require_POST
@signed_in
def decide_mail(request: SignedInRequest, kind: str, uid: UUID, deed: str) -> HttpResponse:
    """Send one mail again, or leave it unsent."""
    model = KINDS[kind]
    act = mail.send_again if deed == "send-again" else mail.leave_unsent
    done = "will be sent again" if deed == "send-again" else "is left unsent"

    def decide() -> str:
        role = request.role_for(Deed.STEWARD)
        row = act(kind=model, uid=str(uid), by=request.person, role=role, at=request.at)
        return f"The {kind} to {row.person.full_name} {done}."

    return _decided(request, decide)


@require_POST
@signed_in
def stop_work(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask a piece of background work to stop."""

    def stop() -> str:
        role = request.role_for(Deed.STEWARD)
        rows.stop(uid=str(uid), by=request.person, role=role, at=request.at)
        return "The work stops after its present part."

    return _decided(request, stop)


@require_POST
@signed_in
def check_now(request: SignedInRequest) -> HttpResponse:
    """Have every signed record and kept file checked now."""

    def check() -> str:
        ask_for_check(by=request.person, role=request.role_for(Deed.STEWARD), at=request.at)
        return "The check has been asked for; its progress stands below."

    return _decided(request, check)


@require_POST
@signed_in
def back_up_now(request: SignedInRequest) -> HttpResponse:
    """Have a backup made and proven now."""

    def back_up() -> str:
        ask_for_backup(by=request.person, role=request.role_for(Deed.STEWARD), at=request.at)
        return "The backup has been asked for; its progress stands under background work."

    return _decided(request, back_up)


def _decided(request: SignedInRequest, act: Callable[[], str]) -> HttpResponse:
    try:
        messages.success(request, act())
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    except (Letter.DoesNotExist, Message.DoesNotExist, Work.DoesNotExist):
        raise Http404("There is no such mail or work.") from None
    return redirect("steward")
