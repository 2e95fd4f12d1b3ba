"""Hazards of an object: written once, carried by every paper that goes with it."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.cards import card_deed, lock_object
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import MuseumObject, ObjectHazard, Person

#: Words that say how far one has looked, not what was found: they stand alone.
STANDS_ALONE: Final = frozenset({Hazard.NONE_KNOWN, Hazard.NOT_ASSESSED})


@dataclass(frozen=True, slots=True, kw_only=True)
class HazardDetails:
    """One hazard: what, how it is known, since when, what protects."""

    hazard: Hazard
    evidence: HazardEvidence
    found_on: date | None = None
    protection: str = ""
    who_may_handle: str = ""
    note: str = ""


@transaction.atomic
def note_hazard(
    *, by: Person, role: Role, at: datetime, museum_object: MuseumObject, details: HazardDetails
) -> ObjectHazard:
    """Write a hazard; the same hazard again replaces what was known of it.

    A real hazard ends 'none known' and 'not assessed', which cannot stand beside it.
    """
    allow(by=by, role=role, deed=card_deed(role), at=at)
    stored = lock_object(museum_object.pk)
    running = list(stored.hazards.filter(ended_on=None).order_by("pk"))
    found = [row for row in running if row.hazard not in STANDS_ALONE]
    reasons = []
    if details.hazard in STANDS_ALONE and found:
        named = ", ".join(Hazard(row.hazard).label for row in found)
        reasons.append(
            Reason(
                f"{stored.object_number} has {named} on record; end that first, with a reason.",
                "hazard",
            )
        )
    if details.found_on is not None and details.found_on > museum_day(at):
        reasons.append(Reason("A hazard cannot have been found on a day to come.", "found_on"))
    if details.hazard not in STANDS_ALONE and details.evidence is HazardEvidence.NONE_FOUND:
        reasons.append(
            Reason(
                "“None found” is no evidence for a hazard: choose tested or suspected, "
                "or choose “none known”.",
                "evidence",
            )
        )
    if reasons:
        raise Refused(reasons)
    same = next((row for row in running if row.hazard == details.hazard), None)
    row = same or ObjectHazard(museum_object=stored)
    for name in HazardDetails.__dataclass_fields__:
        setattr(row, name, getattr(details, name))
    if details.hazard not in STANDS_ALONE:
        for other in running:
            if other.hazard in STANDS_ALONE:
                other.ended_on = museum_day(at)
                other.keep(by=by, role=role, why=f"{details.hazard.label} was noted.", at=at)
    return row.keep(by=by, role=role, why="Hazard noted.", at=at)


@transaction.atomic
def end_hazard(
    *, by: Person, role: Role, at: datetime, hazard: ObjectHazard, why: str
) -> ObjectHazard:
    """End a hazard that is gone or was never there; the reason stays on record."""
    allow(by=by, role=role, deed=card_deed(role), at=at)
    lock_object(hazard.museum_object_id)
    row = ObjectHazard.objects.select_for_update().get(pk=hazard.pk)
    if row.ended_on is not None:
        raise Refused(Reason("This hazard was ended already.", "why"))
    if not why.strip():
        raise Refused(
            Reason("Say how it is known that the hazard is gone; people rely on it.", "why")
        )
    row.ended_on = museum_day(at)
    return row.keep(by=by, role=role, why=why, at=at)
