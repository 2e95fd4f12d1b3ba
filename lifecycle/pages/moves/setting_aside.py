"""Strike a move made in error; waive a gate; end a waiver."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.moves import end_waiver, waive
from lifecycle.actions.moves.waiving import standing_blocker
from lifecycle.actions.refusals import NotAllowed
from lifecycle.actions.strikes import last_day_to_strike, strike_move
from lifecycle.pages.display.seeing import called, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.process.days import day_words
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import Deed, may
from lifecycle.process.stages import Role, Stage
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.models import JournalEntry, Showing, Waiver


class ReasonForm(forms.Form):
    reason = forms.CharField(
        label="Reason",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        help_text="It stays on record beside what is set aside.",
    )


class WaiveForm(ReasonForm):
    until = forms.DateField(
        label="Until",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="After this day the gate blocks again.",
    )


@signed_in
def strike_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take back the last move of a showing."""
    entry = get_object_or_404(JournalEntry.objects.select_related("by", "showing"), uid=uid)
    showing = seen_showing(request, entry.showing.uid)
    roles = request.facts.roles
    head = Role.HEAD_OF_COLLECTIONS
    if entry.by_id == request.person.pk and Role(entry.role) in roles:
        role = Role(entry.role)
    elif head in roles:
        role = head
    else:
        raise NotAllowed(
            f"Only {entry.by.full_name}, who made this move, or the head of collections may "
            "strike it."
        )
    form = ReasonForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        strike_move(
            entry_id=entry.pk, by=request.person, role=role, at=request.at, reason=data["reason"]
        )
        showing.refresh_from_db()
        return (
            f"“{MOVES[entry.move].label}” is struck; {showing.museum_object.object_number} is at "
            f"{Stage(showing.stage).label} again."
        )

    last_day = last_day_to_strike(museum_day(entry.at))
    page = FormPage(
        title=f"Strike “{MOVES[entry.move].label.lower()}”: {called(showing)}",
        submit="Strike the move",
        back=reverse("showing", args=[showing.uid]),
        lead=(
            f"Made by {entry.by.full_name}. It can be struck until {day_words(last_day)}, as long "
            "as no other move followed and nothing was carried. Stage, place and display period go "
            "back; the struck row stays visible."
        ),
        draft=f"strike-{entry.uid}",
    )
    return answer_form(request, form, act, page)


def _waiving_role(request: SignedInRequest, showing: Showing, code: str) -> Role:
    rule = WAIVABLE.get(code)
    if rule is None:
        raise Http404
    deed = Deed.OVERRIDE if rule.override else Deed.WAIVE
    about = about_showing(showing)
    for role in Role:
        if role in rule.roles and may(request.facts, deed, about, role):
            return role
    who = " or ".join(role.label for role in Role if role in rule.roles)
    raise NotAllowed(f"This is waived by the {who} concerned: ask them.")


@signed_in
def waive_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Set one gate aside, with a reason and where needed an end."""
    showing = seen_showing(request, uid)
    code, about = request.GET.get("code", ""), request.GET.get("about", "")
    role = _waiving_role(request, showing, code)
    blocker = standing_blocker(facts_of_one(showing, request.at), code, about)
    if blocker is None:
        raise Http404
    form = WaiveForm(request.POST or None)
    form.fields["until"].required = WAIVABLE[code].needs_until

    def act(data: dict[str, Any]) -> str:
        waive(
            showing_id=showing.pk,
            code=code,
            about=about,
            reason=data["reason"],
            until=data["until"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return "Waived; it stays on the page, struck through, with your name."

    word = "Override" if WAIVABLE[code].override else "Waive"
    page = FormPage(
        title=f"{word}: {called(showing)}",
        submit=word,
        back=reverse("showing", args=[showing.uid]),
        lead=blocker.text,
        draft=f"waive-{showing.uid}-{code}",
    )
    return answer_form(request, form, act, page)


@signed_in
def waiver_end_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a waiver before its day."""
    waiver = get_object_or_404(Waiver.objects.select_related("showing"), uid=uid)
    showing = seen_showing(request, waiver.showing.uid)
    role = _waiving_role(request, showing, waiver.code)
    form = ReasonForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        end_waiver(
            waiver_id=waiver.pk,
            reason=data["reason"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return "The waiver has ended; the gate counts again."

    page = FormPage(
        title=f"End a waiver: {called(showing)}",
        submit="End the waiver",
        back=reverse("showing", args=[showing.uid]),
        lead=waiver.text,
    )
    return answer_form(request, form, act, page)
