"""Waivers: one gate of one showing set aside by a named person, with a reason and an end."""

from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves.making import lock_showing
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.waivers import WAIVABLE
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Person, Waiver


def standing_blocker(facts: ShowingFacts, code: str, about: str) -> Blocker | None:
    """Return the blocker with this key that some move of the table meets now, or None."""
    for move in MOVES.values():
        for blocker in move.standing(facts):
            if (blocker.code, blocker.about) == (code, about):
                return blocker
    return None


@transaction.atomic
def waive(
    *,
    showing_id: int,
    code: str,
    about: str,
    reason: str,
    until: date | None,
    by: Person,
    role: Role,
    at: datetime,
) -> Waiver:
    """Set one blocker aside; it stays on the page, struck through, with the name.

    :raises NotAllowed: the role has no say in this gate
    :raises Refused: the gate can't be waived, does not block, or reason or end are missing
    """
    showing = lock_showing(showing_id)
    number = showing.museum_object.object_number
    rule = WAIVABLE.get(code)
    if rule is None:
        raise Refused(
            f"This can't be waived for {number}: it belongs to the chain that always holds. "
            "Do what the sentence asks."
        )
    if role not in rule.roles:
        who = " or ".join(r.label for r in Role if r in rule.roles)
        raise NotAllowed(f"This is waived by the {who}, not by a {role.label}: ask them.")
    deed = Deed.OVERRIDE if rule.override else Deed.WAIVE
    allow(by=by, role=role, deed=deed, at=at, about=about_showing(showing))
    facts = facts_of_one(showing, at)
    reasons = []
    blocker = standing_blocker(facts, code, about)
    if blocker is None:
        reasons.append(Reason(f"Nothing of this kind blocks {number} now.", code="waiver.nothing"))
    elif facts.waiver_of(code, about) is not None:
        reasons.append(Reason(f"This is waived for {number} already.", code="waiver.twice"))
    if not reason.strip():
        text = f"Say why this is waived for {number}: the record keeps it."
        reasons.append(Reason(text, field="reason"))
    if rule.needs_until and until is None:
        text = f"Say until which day this is waived for {number}."
        reasons.append(Reason(text, field="until"))
    if until is not None and until < facts.today:
        reasons.append(Reason("That day is past: name a later one.", field="until"))
    if reasons or blocker is None:
        raise Refused(reasons)
    _end_stale(showing.pk, code, about, by=by, role=role, at=at)
    waiver = Waiver(
        showing=showing,
        code=code,
        about=about,
        text=blocker.text,
        by=by,
        role=role.value,
        at=at,
        reason=reason.strip(),
        until=until,
    )
    return waiver.keep(by=by, role=role.value, why="Gate waived", at=at)


def _end_stale(
    showing_id: int, code: str, about: str, *, by: Person, role: Role, at: datetime
) -> None:
    """A waiver past its day ends on record before another takes its place."""
    old = Waiver.objects.filter(showing_id=showing_id, code=code, about=about, ended_at=None)
    for waiver in old.select_for_update():
        waiver.ended_at = at
        waiver.keep(by=by, role=role.value, why="Waiver past its day", at=at, fields=["ended_at"])


@transaction.atomic
def end_waiver(*, waiver_id: int, reason: str, by: Person, role: Role, at: datetime) -> Waiver:
    """Take a waiver back before its end; whoever may give it may end it."""
    showing_id = Waiver.objects.filter(pk=waiver_id).values_list("showing_id", flat=True).first()
    if showing_id is None:
        raise Refused("There is no such waiver: go back to the showing and look again.")
    showing = lock_showing(showing_id)
    waiver = Waiver.objects.select_for_update().get(pk=waiver_id)
    rule = WAIVABLE.get(waiver.code)
    if rule is None or role not in rule.roles:
        raise NotAllowed(f"A {role.label} may not end this waiver: ask who gave it.")
    deed = Deed.OVERRIDE if rule.override else Deed.WAIVE
    allow(by=by, role=role, deed=deed, at=at, about=about_showing(showing))
    if waiver.ended_at is not None:
        raise Refused("This waiver has ended already: nothing is left to do.")
    if not reason.strip():
        raise Refused(Reason("Say why the waiver ends.", field="reason"))
    waiver.ended_at = at
    return waiver.keep(
        by=by, role=role.value, why=f"Waiver ended: {reason.strip()}", at=at, fields=["ended_at"]
    )
