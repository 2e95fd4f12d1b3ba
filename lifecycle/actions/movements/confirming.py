"""Confirm an arrival that was signed for without a scan."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.movements.cards import lift_cards
from lifecycle.actions.movements.receiving import Scanned, faults_of_scan
from lifecycle.actions.refusals import Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models import Movement, MuseumObject, Person
from lifecycle.records.models.movements import ArrivalProof


@transaction.atomic
def confirm_arrival(
    *,
    by: Person,
    role: Role,
    at: datetime,
    movement: Movement,
    how: ArrivalProof,
    scanned: Scanned,
) -> Movement:
    """Say that the objects were seen in their place: by scan, or from a slip that came back.

    :raises Refused: not received yet, confirmed already, codes or card numbers that do not agree
    """
    row = Movement.objects.select_for_update(of=("self",)).get(pk=movement.pk)
    lines = list(row.lines.select_related("museum_object", "showing").order_by("pk"))
    for line in lines:
        about = about_showing(line.showing) if line.showing else about_object(line.museum_object)
        allow(by=by, role=role, deed=Deed.HANDLE, at=at, about=about)
    if row.arrived_at is None:
        raise Refused(f"{row.movement_no} has not been received yet.")
    if row.arrival_confirmed_at is not None:
        raise Refused(f"The arrival of {row.movement_no} is confirmed already.")
    objects = list(
        MuseumObject.objects.filter(pk__in=[line.museum_object_id for line in lines]).order_by("pk")
    )
    if how == ArrivalProof.SCAN and (reasons := faults_of_scan(row, objects, scanned)):
        raise Refused(reasons)
    lift_cards(
        movement=row,
        objects=objects,
        numbers=scanned.card_numbers,
        by=by,
        role=role,
        at=at,
        lifted_at=at,
    )
    row.arrival_confirmed_how, row.arrival_confirmed_by = how.value, by
    row.arrival_confirmed_at = at
    return row.keep(by=by, role=role, why="arrival confirmed", at=at)
