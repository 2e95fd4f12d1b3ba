"""Plan a movement, give it its authority, or call it off."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.movements.locating import lies_within
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.carrying import method_ruled_out, people_demanded
from lifecycle.process.gates.ink import not_signed_off
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.condition.ink import ink_facts, sign_off_from
from lifecycle.queries.movements import STORE_KINDS, loads_of
from lifecycle.queries.preparation import housing_refusals
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.records.models import (
    Movement,
    MovementLine,
    MuseumObject,
    Person,
    Place,
    Showing,
    Word,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """One object that is to be carried, and the showing it is carried for, if any."""

    museum_object: MuseumObject
    showing: Showing | None = None


def _faults(
    from_place: Place,
    to_place: Place,
    carried: Sequence[Carried],
    method: Word | None,
    people_needed: int,
) -> Iterator[Reason]:
    if not carried:
        yield Reason("Name at least one object to be moved.", "objects", "movement.objects")
    if from_place.pk == to_place.pk:
        text = f"From and to are both {to_place.name}: name where it goes."
        yield Reason(text, "to_place", "movement.nowhere")
    if to_place.closed_on is not None:
        yield Reason(f"{to_place.name} is no longer in use.", "to_place", "movement.closed")
    seen: set[int] = set()
    for line in carried:
        thing = line.museum_object
        if thing.pk in seen:
            text = f"{thing.object_number} is named twice."
            yield Reason(text, "objects", "movement.twice")
        seen.add(thing.pk)
        if not lies_within(thing.current_location, from_place):
            where = thing.current_location.name if thing.current_location else "nowhere on record"
            text = f"{thing.object_number} is in {where}, not in {from_place.name}."
            yield Reason(text, "from_place", "movement.elsewhere")
        if line.showing is not None and line.showing.museum_object_id != thing.pk:
            text = f"{line.showing.request_no} is a showing of another object."
            yield Reason(text, "objects", "movement.showing")
    under_way = MovementLine.objects.filter(museum_object__in=seen, open=True)
    for row in under_way.select_related("movement", "museum_object").order_by("pk"):
        text = (
            f"{row.museum_object.object_number} is already on movement "
            f"{row.movement.movement_no}: receive it or call it off first."
        )
        yield Reason(text, "objects", "movement.under_way")
    loads = loads_of([line.museum_object for line in carried])
    least, needs = people_demanded(loads)
    if people_needed < least:
        for need in needs:
            yield Reason(need.text, "people_needed", "movement.people")
    if method is not None and (why := method_ruled_out(method.code, loads)):
        yield Reason(why, "method", "movement.method")


def refuse_unsigned_ink(objects: Sequence[MuseumObject], at: datetime) -> None:
    """Refuse to move poor iron-gall ink that no conservator has signed off by name.

    :raises Refused: with a sentence for each face; house rules say from which level
    """
    today = museum_day(at)
    limit = sign_off_from(today)
    found = ink_facts([thing.pk for thing in objects], today)
    numbers = {thing.pk: thing.object_number for thing in objects}
    reasons = [
        Reason(text, code="ink.sign_off")
        for pk, faces in found.items()
        for _, text in not_signed_off(numbers[pk], faces, limit)
    ]
    if reasons:
        raise Refused(reasons)


def refuse_unhoused(to_place: Place, objects: Sequence[MuseumObject], at: datetime) -> None:
    """Refuse a way into the store for objects that have no housing and no waiver."""
    if to_place.kind not in STORE_KINDS:
        return
    refusals = housing_refusals([thing.pk for thing in objects], at)
    if refusals:
        raise Refused(
            [
                Reason(
                    f"To {to_place.name}: {text}",
                    "to_place",
                    "movement.not_housed",
                )
                for text in refusals
            ]
        )


@transaction.atomic
def plan_movement(
    *,
    by: Person,
    role: Role,
    at: datetime,
    from_place: Place,
    to_place: Place,
    reason: Word,
    carried: Sequence[Carried],
    planned_for: datetime | None = None,
    expected_back_on: date | None = None,
    carried_by: Person | None = None,
    method: Word | None = None,
    people_needed: int = 1,
    route_remarks: str = "",
) -> Movement:
    """Write down a movement that is to be made. It needs its authority before anything leaves.

    :raises Refused: object elsewhere or under way, too few people, a method that a hazard rules
        out, or a way to the store for an object without housing
    """
    for line in carried:
        about = about_showing(line.showing) if line.showing else about_object(line.museum_object)
        allow(by=by, role=role, deed=Deed.HANDLE, at=at, about=about)
    ids = sorted(line.museum_object.pk for line in carried)
    list(MuseumObject.objects.select_for_update().filter(pk__in=ids).order_by("pk"))
    if reasons := list(_faults(from_place, to_place, carried, method, people_needed)):
        raise Refused(reasons)
    refuse_unhoused(to_place, [line.museum_object for line in carried], at)
    movement = Movement(
        movement_no=next_number("MV"),
        from_place=from_place,
        to_place=to_place,
        reason=reason,
        planned_for=planned_for,
        expected_back_on=expected_back_on,
        carried_by=carried_by,
        method=method,
        people_needed=people_needed,
        route_remarks=route_remarks,
    ).keep(by=by, role=role, why="movement planned", at=at)
    for line in carried:
        MovementLine(
            movement=movement, museum_object=line.museum_object, showing=line.showing
        ).keep(by=by, role=role, why="movement planned", at=at)
    return movement


@transaction.atomic
def authorise_movement(*, by: Person, role: Role, at: datetime, movement: Movement) -> Movement:
    """Give the written authority without which nothing is released.

    :raises Refused: when it is authorised, called off or gone already
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at)
    row = Movement.objects.select_for_update().get(pk=movement.pk)
    if row.cancelled_at is not None:
        raise Refused(f"{row.movement_no} was called off; plan a new movement.")
    if row.authorised_at is not None:
        raise Refused(f"{row.movement_no} is authorised already.")
    row.authorised_by, row.authorised_at, row.authorised_role = by, at, role.value
    return row.keep(by=by, role=role, why="movement authorised", at=at)


@transaction.atomic
def cancel_movement(
    *, by: Person, role: Role, at: datetime, movement: Movement, reason: str
) -> Movement:
    """Call off a movement that has not begun.

    :raises Refused: once the objects have left, or without a reason
    """
    lines = list(movement.lines.select_related("museum_object", "showing").order_by("pk"))
    for line in lines:
        about = about_showing(line.showing) if line.showing else about_object(line.museum_object)
        allow(by=by, role=role, deed=Deed.HANDLE, at=at, about=about)
    row = Movement.objects.select_for_update().get(pk=movement.pk)
    if not reason.strip():
        raise Refused(Reason("Say why it is called off.", "reason", "movement.why"))
    if row.left_at is not None:
        raise Refused(f"{row.movement_no} has left already; receive it, then plan the way back.")
    if row.cancelled_at is not None:
        raise Refused(f"{row.movement_no} is called off already.")
    row.cancelled_at, row.cancelled_by, row.cancel_reason = at, by, reason.strip()
    row.keep(by=by, role=role, why="movement called off", at=at)
    for line in lines:
        line.open = False
        line.keep(by=by, role=role, why="movement called off", at=at, fields=["open"])
    return row
