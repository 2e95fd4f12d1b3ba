"""Receipt: the other end signs, the object's place is written, the removal card lifted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.movements.cards import lift_cards
from lifecycle.actions.movements.locating import set_location
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, attest
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.queries.movements import codes_of, movement_words
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.base import typed_code
from lifecycle.records.models import Movement, MuseumObject, Person
from lifecycle.records.models.movements import ArrivalProof, StateOnArrival


@dataclass(frozen=True, slots=True, kw_only=True)
class Scanned:
    """Short codes as scanned or typed at the end of the way: the place, and each object or box.

    ``card_numbers`` are read from the removal cards in the gap, per object id.
    """

    place: str = ""
    objects: Sequence[str] = ()
    card_numbers: Mapping[int, str] = field(default_factory=dict)


def faults_of_scan(
    movement: Movement, objects: Sequence[MuseumObject], scanned: Scanned
) -> list[Reason]:
    """Return what does not agree between the codes read on the spot and the movement."""
    reasons = []
    if typed_code(scanned.place) != movement.to_place.code:
        text = (
            f"The place you scanned is not {movement.to_place.name}, where {movement.movement_no} "
            "goes: carry it there, or call the movement off and plan it again."
        )
        reasons.append(Reason(text, "place_code", "movement.place_code"))
    read = {typed_code(code) for code in scanned.objects if code.strip()}
    known = codes_of(objects)
    for thing in objects:
        if not read & known[thing.pk]:
            text = f"Scan or type the code of {thing.object_number} or of its box."
            reasons.append(Reason(text, "object_codes", "movement.object_code"))
    if strange := read - {code for codes in known.values() for code in codes}:
        text = f"{', '.join(sorted(strange))} does not belong to {movement.movement_no}."
        reasons.append(Reason(text, "object_codes", "movement.strange_code"))
    return reasons


@transaction.atomic
def receive(
    *,
    by: Person,
    role: Role,
    at: datetime,
    movement: Movement,
    hand: Hand,
    arrived_at: datetime,
    state: StateOnArrival,
    note: str = "",
    scanned: Scanned | None = None,
) -> Movement:
    """Sign for the objects at the other end; from now on this is where they are.

    With ``scanned`` the arrival is confirmed in the same step.

    :raises Refused: received by the one who handed over, before it left, codes that do not agree,
        a removal card not lifted, or a change seen on arrival without a note
    """
    row = Movement.objects.select_for_update(of=("self",)).get(pk=movement.pk)
    lines = list(row.lines.select_related("museum_object", "showing").order_by("pk"))
    for line in lines:
        about = about_showing(line.showing) if line.showing else about_object(line.museum_object)
        allow(by=hand.person, role=hand.role, deed=Deed.HANDLE, at=at, about=about)
    ids = [line.museum_object_id for line in lines]
    objects = list(MuseumObject.objects.select_for_update().filter(pk__in=ids).order_by("pk"))
    reasons = []
    if row.arrived_at is not None:
        raise Refused(f"{row.movement_no} was received already.")
    if row.left_at is None:
        raise Refused(f"{row.movement_no} has not been handed over yet.")
    if row.handed_over_by_id == hand.person.pk:
        text = (
            f"{hand.person.full_name} handed over {row.movement_no}; "
            "somebody else signs at the other end."
        )
        reasons.append(Reason(text, "person", "movement.same_hand"))
    if before(arrived_at, row.left_at):
        text = "It can't have arrived before it left; look at the time again."
        reasons.append(Reason(text, "arrived_at", "movement.time"))
    if arrived_at > at:
        text = "The time of arrival lies in the future."
        reasons.append(Reason(text, "arrived_at", "movement.future"))
    if state != StateOnArrival.SAME and not note.strip():
        text = "Say in words what has changed, or why it can't be told."
        reasons.append(Reason(text, "note", "movement.note"))
    if scanned is not None:
        reasons += faults_of_scan(row, objects, scanned)
    if reasons:
        raise Refused(reasons)
    if scanned is not None:
        lift_cards(
            movement=row,
            objects=objects,
            numbers=scanned.card_numbers,
            by=hand.person,
            role=hand.role,
            at=at,
            lifted_at=max(arrived_at, row.left_at),
        )
    row.received_by, row.arrived_at = hand.person, max(arrived_at, row.left_at)
    row.state_on_arrival, row.arrival_note = state.value, note.strip()
    row.received_signature = attest(
        kind_name="movement-received",
        record=row,
        text=movement_words(row, lines),
        capacity=SignCapacity.RECEIVED_BY,
        hand=hand,
        at=at,
    )
    if scanned is not None:
        row.arrival_confirmed_how = ArrivalProof.SCAN.value
        row.arrival_confirmed_by, row.arrival_confirmed_at = hand.person, at
    row.keep(by=by, role=role, why="received", at=at)
    for thing in objects:
        why = f"received with {row.movement_no}"
        set_location(
            museum_object=thing, place=row.to_place, by=hand.person, role=hand.role, why=why, at=at
        )
    for line in lines:
        line.open = False
        line.keep(by=by, role=role, why="received", at=at, fields=["open"])
    return row
