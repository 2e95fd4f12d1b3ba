"""Release: who hands the objects over signs, and they are on their way."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.movements.cards import leave_cards
from lifecycle.actions.movements.locating import lies_within
from lifecycle.actions.movements.planning import refuse_unhoused, refuse_unsigned_ink
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, attest
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.queries.movements import movement_words
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models import DisplayPeriod, Movement, MuseumObject, Person


@transaction.atomic
def hand_over(
    *,
    by: Person,
    role: Role,
    at: datetime,
    movement: Movement,
    hand: Hand,
    left_at: datetime,
    carried_by: Person | None = None,
) -> Movement:
    """Release the objects: the one who hands over signs at ``left_at``.

    :raises Refused: without authority, for an object that is still on display or elsewhere, or
        for the store without housing, poor ink that nobody signed off
    """
    row = Movement.objects.select_for_update().get(pk=movement.pk)
    lines = list(
        row.lines.select_related("museum_object__current_location", "showing").order_by("pk")
    )
    for line in lines:
        about = about_showing(line.showing) if line.showing else about_object(line.museum_object)
        allow(by=hand.person, role=hand.role, deed=Deed.HANDLE, at=at, about=about)
    ids = [line.museum_object_id for line in lines]
    objects = list(
        MuseumObject.objects.select_for_update(of=("self",))
        .filter(pk__in=ids)
        .select_related("current_location")
        .order_by("pk")
    )
    reasons = []
    if row.cancelled_at is not None:
        reasons.append(Reason(f"{row.movement_no} was called off.", code="movement.cancelled"))
    if row.left_at is not None:
        reasons.append(Reason(f"{row.movement_no} has left already.", code="movement.left"))
    if row.authorised_at is None:
        text = (
            f"{row.movement_no} has no authority yet: a registrar or the head of collections "
            "authorises it before anything leaves."
        )
        reasons.append(Reason(text, code="movement.authority"))
    elif before(left_at, row.authorised_at):
        text = "It can't have left before it was authorised; look at the time again."
        reasons.append(Reason(text, "left_at", "movement.time"))
    if left_at > at:
        text = "The time of leaving lies in the future."
        reasons.append(Reason(text, "left_at", "movement.future"))
    shown = DisplayPeriod.objects.filter(museum_object__in=ids, closed_at=None, struck_at=None)
    for period in shown.select_related("museum_object", "place").order_by("pk"):
        text = (
            f"{period.museum_object.object_number} is still on display in {period.place.name}: "
            "take it down, or start its rotation, first."
        )
        reasons.append(Reason(text, code="movement.on_display"))
    for thing in objects:
        if not lies_within(thing.current_location, row.from_place):
            text = f"{thing.object_number} is no longer in {row.from_place.name}."
            reasons.append(Reason(text, code="movement.elsewhere"))
    if reasons:
        raise Refused(reasons)
    refuse_unhoused(row.to_place, objects, at)
    refuse_unsigned_ink(objects, at)
    leave_cards(
        movement=row, objects=objects, by=hand.person, role=hand.role, at=at, left_at=left_at
    )
    row.handed_over_by, row.left_at = hand.person, left_at
    row.carried_by = carried_by or row.carried_by
    row.handed_over_signature = attest(
        kind_name="movement-handed-over",
        record=row,
        text=movement_words(row, lines),
        capacity=SignCapacity.SENT_BY,
        hand=hand,
        at=at,
    )
    return row.keep(by=by, role=role, why="handed over", at=at)
