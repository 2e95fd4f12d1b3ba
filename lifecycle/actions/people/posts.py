"""Roles held from–to, and deputies named with dates."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import DeputyTerm, Person, Place, RoleAssignment


def span_reasons(from_on: date, until_on: date | None) -> list[Reason]:
    """Return what is wrong with a span of days."""
    if until_on is not None and until_on < from_on:
        return [Reason("The last day comes before the first.", "until_on")]
    return []


@transaction.atomic
def give_role(
    *,
    by: Person,
    role: Role,
    at: datetime,
    person: Person,
    given: Role,
    from_on: date,
    until_on: date | None = None,
    galleries: Sequence[Place] = (),
    trained: bool = False,
) -> RoleAssignment:
    """Give somebody a role from–to; attendants get the galleries they walk.

    Couriers and lenders get a guest pass instead, since their rights end at named objects.
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    Person.objects.select_for_update().get(pk=person.pk)
    reasons = span_reasons(from_on, until_on)
    if given in (Role.COURIER, Role.LENDER):
        reasons.append(Reason(f"A {given.label} gets a guest pass for named objects.", "given"))
    if given is Role.ATTENDANT and not galleries:
        reasons.append(Reason("Say which galleries this attendant walks.", "galleries"))
    overlapping = person.roles.filter(role=given).filter(
        Q(until_on=None) | Q(until_on__gte=from_on)
    )
    if until_on is not None:
        overlapping = overlapping.filter(from_on__lte=until_on)
    if overlapping.exists():
        reasons.append(
            Reason(
                f"{person.full_name} is {given.label} in that time already; end that role first.",
                "given",
            )
        )
    if reasons:
        raise Refused(reasons)
    row = RoleAssignment(
        person=person, role=given, from_on=from_on, until_on=until_on, trained=trained
    )
    row.keep(by=by, role=role, why=f"Made {given.label}.", at=at)
    if galleries:
        row.put_lists(galleries=galleries)
        row.keep(by=by, role=role, why="Galleries named.", at=at)
    return row


@transaction.atomic
def end_role(
    *, by: Person, role: Role, at: datetime, assignment: RoleAssignment, until_on: date, why: str
) -> RoleAssignment:
    """Set the last day of a role. The last steward cannot be ended."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    row = RoleAssignment.objects.select_for_update().get(pk=assignment.pk)
    reasons = span_reasons(row.from_on, until_on)
    if not why.strip():
        reasons.append(Reason("Say why the role ends.", "why"))
    if row.role == Role.STEWARD and not _stewards_after(until_on).exclude(pk=row.pk).exists():
        reasons.append(
            Reason(
                "Nobody would be steward after that day: give the role to somebody else first.",
                "until_on",
            )
        )
    if reasons:
        raise Refused(reasons)
    row.until_on = until_on
    return row.keep(by=by, role=role, why=why, at=at)


def _stewards_after(day: date) -> QuerySet[RoleAssignment, Any]:
    """Who is steward on the day after ``day``, and can sign in then."""
    stewards = RoleAssignment.objects.filter(role=Role.STEWARD, from_on__lte=day)
    return stewards.filter(
        Q(until_on=None) | Q(until_on__gt=day),
        Q(person__ends_on=None) | Q(person__ends_on__gt=day),
        person__account__is_active=True,
    )


def steward_after(leaving: Person, day: date) -> bool:
    """Whether somebody else is steward after ``day``, or the one who leaves is none anyway."""
    stewards = _stewards_after(day)
    if not stewards.filter(person=leaving).exists():
        return True
    return stewards.exclude(person=leaving).exists()


@transaction.atomic
def name_deputy(
    *,
    by: Person,
    role: Role,
    at: datetime,
    for_person: Person,
    deputy: Person,
    deputy_role: Role,
    from_on: date,
    until_on: date,
) -> DeputyTerm:
    """Name who may consent in somebody's stead, from–to."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    reasons = span_reasons(from_on, until_on)
    if for_person.pk == deputy.pk:
        reasons.append(Reason("Nobody is their own deputy.", "deputy"))
    holds = for_person.roles.filter(role=deputy_role, from_on__lte=until_on)
    if not holds.filter(Q(until_on=None) | Q(until_on__gte=from_on)).exists():
        reasons.append(
            Reason(f"{for_person.full_name} is not {deputy_role.label} then.", "deputy_role")
        )
    if until_on < museum_day(at):
        reasons.append(Reason("This term would be over before it begins.", "until_on"))
    if deputy.ends_on is not None and deputy.ends_on < until_on:
        reasons.append(
            Reason(f"{deputy.full_name} leaves on {day_words(deputy.ends_on)}.", "until_on")
        )
    if reasons:
        raise Refused(reasons)
    term = DeputyTerm(
        for_person=for_person,
        deputy=deputy,
        role=deputy_role,
        from_on=from_on,
        until_on=until_on,
    )
    return term.keep(by=by, role=role, why="Deputy named.", at=at)


@transaction.atomic
def end_deputy(
    *, by: Person, role: Role, at: datetime, term: DeputyTerm, until_on: date, why: str
) -> DeputyTerm:
    """End a deputy's term earlier than planned; what was consented stays."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    row = DeputyTerm.objects.select_for_update().get(pk=term.pk)
    reasons = span_reasons(row.from_on, until_on)
    if until_on > row.until_on:
        reasons.append(Reason("A longer term is a new one: name the deputy again.", "until_on"))
    if not why.strip():
        reasons.append(Reason("Say why the term ends.", "why"))
    if reasons:
        raise Refused(reasons)
    row.until_on = until_on
    return row.keep(by=by, role=role, why=why, at=at)
