"""How an object is fixed in its mount, step by step, with a picture where words are not enough."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.preparation.mounts import about_mount, locked_mount
from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.preparation import FixingStep, Mount


@transaction.atomic
def write_fixing_step(
    *,
    by: Person,
    role: Role,
    at: datetime,
    mount: Mount,
    text: str,
    picture: Picture | None = None,
    step: FixingStep | None = None,
) -> FixingStep:
    """Add a step at the end, or write one anew; without a new picture the old one stays.

    :raises Refused: if it says nothing, is another mount's, was dropped, or its picture shows
        another object
    """
    held = locked_mount(mount)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    reasons = []
    if not text.strip():
        reasons.append(Reason("Say what is done in this step.", "text"))
    of = None if picture is None else picture.museum_object_id
    if of is not None and of != held.museum_object_id:
        reasons.append(Reason("The picture shows another object.", "picture"))
    row = None if step is None else held.fixing_steps.filter(pk=step.pk, dropped=False).first()
    if step is not None and row is None:
        reasons.append(Reason(f"That step is no longer on {held.mount_no}."))
    if reasons:
        raise Refused(reasons)
    if row is None:
        last = held.fixing_steps.filter(dropped=False).order_by("-number").first()
        row = FixingStep(mount=held, number=1 if last is None else last.number + 1)
    row.text, row.picture = text.strip(), picture or row.picture
    return row.keep(by=by, role=role, why="fixing step written", at=at)


@transaction.atomic
def drop_fixing_step(*, by: Person, role: Role, at: datetime, step: FixingStep) -> None:
    """Take a step off the ticket; those after it move up by one."""
    held = locked_mount(step.mount)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about_mount(held))
    rows = list(held.fixing_steps.filter(dropped=False).order_by("number"))
    gone = next((row for row in rows if row.pk == step.pk), None)
    if gone is None:
        raise Refused(f"That step is no longer on {held.mount_no}.")
    gone.dropped = True
    gone.keep(by=by, role=role, why="fixing step dropped", at=at)
    for row in rows:
        if row.number > gone.number:
            row.number -= 1
            row.keep(by=by, role=role, why=f"step {gone.number} was dropped", at=at)
