"""Holds: a stop that lies on the object until a written decision lifts it."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import HoldKind
from lifecycle.queries.rights import about_object
from lifecycle.records.models import Hold, MuseumObject, Person, Showing


@transaction.atomic
def place_hold(
    *,
    object_id: int,
    kind: HoldKind,
    reason: str,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing | None = None,
) -> Hold:
    """Stop an object; it stays stopped in its next showing too.

    Anybody who may report an incident may stop an object; only a conservator or the head of
    collections lifts it. :raises Refused: without a reason, or for a showing of another object
    """
    museum_object = MuseumObject.objects.select_for_update().get(pk=object_id)
    about = about_object(museum_object)
    allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at, about=about)
    reasons = []
    if not reason.strip():
        text = f"Say why {museum_object.object_number} is to be held."
        reasons.append(Reason(text, field="reason"))
    if showing is not None and showing.museum_object_id != object_id:
        text = f"{showing.request_no} is not a showing of {museum_object.object_number}."
        reasons.append(Reason(text, field="showing"))
    if reasons:
        raise Refused(reasons)
    hold = Hold(
        museum_object=museum_object,
        showing=showing,
        kind=kind.value,
        reason=reason.strip(),
        placed_by=by,
        placed_role=role.value,
        placed_at=at,
    )
    return hold.keep(by=by, role=role.value, why="Hold placed", at=at)


def _open_hold(hold_id: int, *, by: Person, role: Role, at: datetime) -> Hold:
    """Return the hold, locked behind its object, or refuse when it is lifted already."""
    object_id = Hold.objects.filter(pk=hold_id).values_list("museum_object_id", flat=True).first()
    if object_id is None:
        raise Refused("There is no such hold: go back to the object and look again.")
    museum_object = MuseumObject.objects.select_for_update().get(pk=object_id)
    hold = Hold.objects.select_for_update().get(pk=hold_id)
    if role is not Role.HEAD_OF_COLLECTIONS:
        allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(museum_object))
    else:
        allow(by=by, role=role, deed=Deed.OVERRIDE, at=at)
    if hold.lifted_at is not None:
        raise Refused(
            f"The hold on {museum_object.object_number} was lifted on "
            f"{day_words(hold.lifted_at)} at {hold.lifted_at:%H:%M} UTC already: "
            "nothing is left to do."
        )
    return hold


def _decision(decision: str) -> str:
    if not decision.strip():
        raise Refused(Reason("Write the decision: it is what lifts the hold.", field="decision"))
    return decision.strip()


@transaction.atomic
def decide_hold(
    *, hold_id: int, decision: str, asks_treatment: bool, by: Person, role: Role, at: datetime
) -> Hold:
    """Write a decision that keeps the hold, and say whether it asks for treatment.

    With ``asks_treatment`` treatment may begin while everything else stays stopped.
    """
    hold = _open_hold(hold_id, by=by, role=role, at=at)
    hold.decision, hold.asks_treatment = _decision(decision), asks_treatment
    return hold.keep(
        by=by,
        role=role.value,
        why="Hold decided",
        at=at,
        fields=["decision", "asks_treatment"],
    )


@transaction.atomic
def lift_hold(*, hold_id: int, decision: str, by: Person, role: Role, at: datetime) -> Hold:
    """Lift a hold with a written decision."""
    hold = _open_hold(hold_id, by=by, role=role, at=at)
    hold.decision, hold.lifted_by, hold.lifted_at = _decision(decision), by, at
    return hold.keep(
        by=by,
        role=role.value,
        why="Hold lifted",
        at=at,
        fields=["decision", "lifted_by", "lifted_at"],
    )
