"""Guest passes: a courier or lender sees named objects, for named days, and nothing else."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.people.posts import span_reasons
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models import GuestPass, MuseumObject, Organisation, Person


@dataclass(frozen=True, slots=True, kw_only=True)
class PassDetails:
    """For whom, as what, from which house, for which objects and days."""

    given: Role
    organisation: Organisation
    museum_objects: Sequence[MuseumObject]
    from_on: date
    until_on: date


@transaction.atomic
def give_pass(
    *, by: Person, role: Role, at: datetime, person: Person, details: PassDetails
) -> GuestPass:
    """Give a guest pass; every object on it must belong to the organisation named."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    reasons = span_reasons(details.from_on, details.until_on)
    if details.given not in (Role.COURIER, Role.LENDER):
        reasons.append(Reason("A guest pass is for couriers and lenders.", "given"))
    if not details.museum_objects:
        reasons.append(Reason("Name at least one object.", "museum_objects"))
    strange = [
        one.object_number
        for one in details.museum_objects
        if one.lender_id != details.organisation.pk
    ]
    if strange:
        reasons.append(
            Reason(
                f"{', '.join(strange)} does not belong to {details.organisation.name}.",
                "museum_objects",
            )
        )
    if reasons:
        raise Refused(reasons)
    row = GuestPass(
        person=person,
        role=details.given,
        organisation=details.organisation,
        from_on=details.from_on,
        until_on=details.until_on,
    )
    row.keep(by=by, role=role, why="Guest pass given.", at=at)
    row.put_lists(museum_objects=details.museum_objects)
    return row.keep(by=by, role=role, why="Objects of the pass named.", at=at)


@transaction.atomic
def shorten_pass(
    *, by: Person, role: Role, at: datetime, guest_pass: GuestPass, until_on: date, why: str
) -> GuestPass:
    """End a pass earlier; a longer stay is a new pass."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    row = GuestPass.objects.select_for_update().get(pk=guest_pass.pk)
    reasons = span_reasons(row.from_on, until_on)
    if until_on > row.until_on:
        reasons.append(Reason("A longer stay is a new pass.", "until_on"))
    if not why.strip():
        reasons.append(Reason("Say why the pass ends.", "why"))
    if reasons:
        raise Refused(reasons)
    row.until_on = until_on
    return row.keep(by=by, role=role, why=why, at=at)
