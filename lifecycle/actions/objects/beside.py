"""What belongs to an object: other numbers, sizes by state, components, companions."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.cards import card_deed, lock_object
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    Companionship,
    Component,
    Measure,
    MeasuredState,
    MuseumObject,
    OtherNumber,
    Person,
)


@transaction.atomic
def add_other_number(
    *, by: Person, role: Role, at: datetime, museum_object: MuseumObject, kind: str, number: str
) -> OtherNumber:
    """Add a lender's, an old or another number."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    reasons = []
    if not kind.strip():
        reasons.append(Reason("Say whose number it is: lender's, old, accession.", "kind"))
    if not number.strip():
        reasons.append(Reason("Write the number.", "number"))
    if stored.other_numbers.filter(kind__iexact=kind.strip(), number__iexact=number.strip()):
        reasons.append(Reason(f"{number.strip()} is on the card already.", "number"))
    if reasons:
        raise Refused(reasons)
    row = OtherNumber(museum_object=stored, kind=kind.strip(), number=number.strip())
    return row.keep(by=by, role=role, why="Number added.", at=at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimensions:
    """Height × width × depth [mm] in one state of the object."""

    state: MeasuredState
    height_mm: Decimal
    width_mm: Decimal
    depth_mm: Decimal | None = None


@transaction.atomic
def set_dimensions(
    *, by: Person, role: Role, at: datetime, museum_object: MuseumObject, size: Dimensions
) -> Measure:
    """Write the size of the object in one state; an earlier size of that state stays in history."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    reasons = [
        Reason("A length is more than 0 mm and less than 100 m.", name)
        for name in ("height_mm", "width_mm", "depth_mm")
        if (value := getattr(size, name)) is not None and not 0 < value < 100_000
    ]
    if reasons:
        raise Refused(reasons)
    row = stored.measures.filter(state=size.state).first() or Measure(museum_object=stored)
    for name in Dimensions.__dataclass_fields__:
        setattr(row, name, getattr(size, name))
    return row.keep(by=by, role=role, why="Measured.", at=at)


@transaction.atomic
def add_component(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    label: str,
    description: str = "",
) -> Component:
    """Add a part that can be parted from the object: loose leaf, cover, case, string."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    if not label.strip():
        raise Refused(Reason("Name the component.", "label"))
    if stored.components.filter(label__iexact=label.strip()).exists():
        raise Refused(
            Reason(f"{stored.object_number} already has a component “{label.strip()}”.", "label")
        )
    row = Component(museum_object=stored, label=label.strip(), description=description.strip())
    return row.keep(by=by, role=role, why="Component put on record.", at=at)


@transaction.atomic
def name_companion(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    companion: MuseumObject,
    reason: str,
) -> Companionship:
    """Say that two objects belong in one case."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    for pk in sorted({museum_object.pk, companion.pk}):
        lock_object(pk)
    reasons = []
    if museum_object.pk == companion.pk:
        reasons.append(Reason("An object is not its own companion.", "companion"))
    running = Companionship.objects.filter(ended_on=None)
    known = running.filter(museum_object=museum_object, companion=companion) | running.filter(
        museum_object=companion, companion=museum_object
    )
    if known.exists():
        reasons.append(
            Reason(
                f"{companion.object_number} is a companion of {museum_object.object_number} "
                "already.",
                "companion",
            )
        )
    if not reason.strip():
        reasons.append(Reason("Say why the two belong together.", "reason"))
    if reasons:
        raise Refused(reasons)
    row = Companionship(museum_object=museum_object, companion=companion, reason=reason.strip())
    return row.keep(by=by, role=role, why="Companions named.", at=at)


@transaction.atomic
def end_companion(
    *, by: Person, role: Role, at: datetime, companionship: Companionship, why: str
) -> Companionship:
    """Say that the two need not stand together any longer."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    row = Companionship.objects.select_for_update().get(pk=companionship.pk)
    if row.ended_on is not None:
        raise Refused("These two were parted on record already.")
    if not why.strip():
        raise Refused(Reason("Say why they need not stand together any longer.", "why"))
    row.ended_on = museum_day(at)
    return row.keep(by=by, role=role, why=why, at=at)
