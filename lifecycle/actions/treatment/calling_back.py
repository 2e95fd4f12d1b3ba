"""Call objects back on account of a material: for all of them at once, and ended with a reason."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.materials import open_call_backs
from lifecycle.records.keeping import keep_all
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import CallBack, Material, TreatmentStep


@transaction.atomic
def call_back_all(
    *,
    by: Person,
    role: Role,
    at: datetime,
    materials: Sequence[Material],
    objects: Sequence[MuseumObject],
    due_on: date,
    reason: str,
) -> list[CallBack]:
    """Ask for each of these objects to be looked at again; all of it or nothing.

    An object that waits for a look on account of the same batch is not asked for twice.

    :raises Refused: no object, no reason, a day gone by, or an object that none of the batches
        touched
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    held = list(
        MuseumObject.objects.select_for_update()
        .filter(pk__in=[one.pk for one in objects])
        .order_by("pk")
    )
    touched: dict[int, Material] = {}
    steps = TreatmentStep.objects.filter(
        museum_object__in=held, material__in=[one.pk for one in materials]
    )
    for step in steps.select_related("material").order_by("observed_at", "pk"):
        if step.material is not None:
            touched[step.museum_object_id] = step.material
    if reasons := list(_faults(held, touched, due_on=due_on, reason=reason, at=at)):
        raise Refused(reasons)
    waiting = {
        (row.museum_object_id, row.material_id)
        for row in open_call_backs().filter(museum_object__in=held)
    }
    rows = [
        CallBack(
            call_back_no=next_number("CB"),
            museum_object=thing,
            material=touched[thing.pk],
            reason=reason.strip(),
            due_on=due_on,
            asked_at=at,
            asked_by=by,
        )
        for thing in held
        if (thing.pk, touched[thing.pk].pk) not in waiting
    ]
    keep_all(rows, by=by, role=role, why="called back", at=at)
    return rows


def _faults(
    held: Sequence[MuseumObject],
    touched: dict[int, Material],
    *,
    due_on: date,
    reason: str,
    at: datetime,
) -> Iterator[Reason]:
    if not held:
        yield Reason("Choose at least one object.", "objects")
    if not reason.strip():
        yield Reason("Say what to look for, and why.", "reason")
    if due_on < museum_day(at):
        yield Reason("This day is past: name one from today on.", "due_on")
    for thing in held:
        if thing.pk not in touched:
            text = f"{thing.object_number} was not treated with it: take it out of the list."
            yield Reason(text, "objects")


@transaction.atomic
def end_call_back(
    *, by: Person, role: Role, at: datetime, call_back: CallBack, why: str
) -> CallBack:
    """End a call-back that is not needed any more; the reason stays."""
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    row = CallBack.objects.select_for_update().get(pk=call_back.pk)
    if row.ended_at is not None:
        raise Refused(f"{row.call_back_no} was ended already.")
    if not why.strip():
        raise Refused(Reason("Say why nobody has to look any more.", "why"))
    row.ended_at, row.ended_by, row.ended_why = at, by, why.strip()
    return row.keep(by=by, role=role, why=why.strip(), at=at)
