"""Make a move that needs nothing but a word: reason, second person, limits read."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.urls import reverse

from lifecycle.actions.moves import make_move
from lifecycle.actions.refusals import NotAllowed
from lifecycle.pages.display.seeing import called, cautions_of, last_seen, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.reasons import NamedBlocker, named_blockers
from lifecycle.process import saying as ask
from lifecycle.process.cautions import CautionFor
from lifecycle.process.move import Move
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import may
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.records.models import Person, Showing

CAUTIONS = {
    "take_in": CautionFor.EXAMINE,
    "begin_treatment": CautionFor.TREAT,
    "aftercare": CautionFor.TREAT,
    "install": CautionFor.INSTALL,
    "start_rotation": CautionFor.INSTALL,
    "show_again": CautionFor.INSTALL,
    "take_down": CautionFor.TAKE_DOWN,
    "send_home": CautionFor.MOVE,
    "pass_on": CautionFor.MOVE,
}
REASON_ASKED = {ask.a_reason}
SECOND_ASKED = {
    ask.a_second_pair_of_hands,
    ask.two_hands_or_an_emergency,
    ask.a_conservator_beside,
}


class MoveForm(forms.Form):
    """Only what this move asks for stands on the form."""

    def __init__(self, move: Move, *args: Any, people: list[Person], **options: Any) -> None:
        super().__init__(*args, **options)
        asks = set(move.asks)
        self.fields["reason"] = forms.CharField(
            label="Reason" if asks & REASON_ASKED else "Note",
            required=bool(asks & REASON_ASKED),
            widget=forms.Textarea(attrs={"rows": 3}),
            max_length=2000,
            help_text="One sentence that will be read in years to come.",
        )
        if asks & SECOND_ASKED:
            self.fields["second"] = forms.ChoiceField(
                label="Second person",
                required=False,
                choices=[("", "nobody"), *((str(p.uid), p.full_name) for p in people)],
            )
            self.fields["second_role"] = forms.ChoiceField(
                label="Acting as",
                required=False,
                choices=[("", "–"), *((r.value, r.label) for r in Role if r in ask.HANDS)],
            )
        if ask.two_hands_or_an_emergency in asks:
            self.fields["emergency"] = forms.BooleanField(
                label="It is an emergency", required=False
            )
        if ask.limits_are_read in asks:
            self.fields["limits_read"] = forms.BooleanField(
                label="I have read the limits of the consent", required=False
            )
        if ask.where_it_stands in asks:
            self.fields["to"] = forms.ChoiceField(
                label="It stands at",
                choices=[(s.value, s.label) for s in Stage if s in ask.TAKEN_OVER_INTO],
            )
        self.fields["seen"] = forms.UUIDField(required=False, widget=forms.HiddenInput)


def acting_role(request: SignedInRequest, move: Move, showing: Showing) -> Role:
    """The role in which this person may make this move.

    :raises NotAllowed: if none of their roles may
    """
    about = about_showing(showing, at_take_down=move.name == "take_down")
    for role in Role:
        deed = move.deeds.get(role)
        if deed is not None and may(request.facts, deed, about, role):
            return role
    who = " or ".join(role.label for role in Role if role in move.roles)
    raise NotAllowed(f"“{move.label}” is made by a {who}: ask one to make it.")


@signed_in
def move_page(request: SignedInRequest, uid: UUID, name: str) -> HttpResponse:
    """Say what stands in the way of a move, or make it."""
    if name not in MOVES:
        raise Http404
    move = MOVES[name]
    showing = seen_showing(request, uid)
    role = acting_role(request, move, showing)
    facts = facts_of_one(showing, request.at)
    people = [p for p in people_with_hands(museum_day(request.at)) if p.pk != request.person.pk]
    form = MoveForm(move, request.POST or None, people=people, initial={"seen": last_seen(showing)})
    limits = [
        f"{proposal.label}: {limit}" for proposal in facts.proposals for limit in proposal.limits
    ]

    def act(data: dict[str, Any]) -> str:
        second_role = data.get("second_role") or None
        entry = make_move(
            showing_id=showing.pk,
            move=name,
            by=request.person,
            role=role,
            at=request.at,
            reason=data["reason"],
            second=next((p for p in people if str(p.uid) == data.get("second")), None),
            second_role=Role(second_role) if second_role else None,
            to=Stage(data["to"]) if data.get("to") else None,
            emergency=bool(data.get("emergency")),
            limits_read=bool(data.get("limits_read")),
            seen=data["seen"],
        )
        return f"{showing.museum_object.object_number} is now at {Stage(entry.to_stage).label}."

    blockers: list[NamedBlocker] = named_blockers(
        move.blockers(facts), facts, request.facts, about_showing(showing)
    )
    waived = [
        NamedBlocker(b.text, b.role, "", "", f"{w.by}: {w.reason}", "")
        for b, w in move.waived(facts)
    ]
    page = FormPage(
        title=f"{move.label}: {called(showing)}",
        submit=move.label,
        back=reverse("showing", args=[showing.uid]),
        cautions=cautions_of(showing.museum_object, CAUTIONS[name]) if name in CAUTIONS else (),
        template="moves/make.html",
        draft=f"move-{name}-{showing.uid}",
        more={
            "blockers": blockers,
            "waived": waived,
            "limits": limits,
            "showing": showing,
            "move": move,
            "role": role,
        },
    )
    return answer_form(request, form, act, page)
