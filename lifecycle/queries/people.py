"""Who is here: people with their roles, passes and deputies on a given day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Account,
    DeputyTerm,
    GuestPass,
    Person,
    RoleAssignment,
)


@dataclass(frozen=True, slots=True)
class PersonLine:
    """One person as a list shows them."""

    person: Person
    roles: tuple[Role, ...]
    has_account: bool
    ended: bool

    @property
    def role_words(self) -> str:
        return ", ".join(role.label for role in self.roles)


def running(day: date) -> Q:
    """The condition that a dated row runs on ``day``."""
    return Q(from_on__lte=day) & (Q(until_on=None) | Q(until_on__gte=day))


def people_lines(day: date, *, asked: str = "") -> list[PersonLine]:
    """Return everybody on record by name with the roles they hold on ``day``, in three queries."""
    roles: QuerySet[Any, Any] = RoleAssignment.objects.filter(running(day)).order_by("role")
    passes: QuerySet[Any, Any] = GuestPass.objects.filter(running(day)).order_by("role")
    people = (
        Person.objects.select_related("account", "organisation")
        .prefetch_related(Prefetch("roles", roles), Prefetch("passes", passes))
        .order_by("full_name", "pk")
    )
    if asked:
        people = people.filter(
            Q(full_name__icontains=asked) | Q(organisation__name__icontains=asked)
        )
    return [_line(person, day) for person in people]


def _line(person: Person, day: date) -> PersonLine:
    held = [Role(row.role) for row in person.roles.all()]
    held += [Role(row.role) for row in person.passes.all()]
    return PersonLine(
        person=person,
        roles=tuple(dict.fromkeys(held)),
        has_account=person.account_id is not None,
        ended=person.ends_on is not None and person.ends_on < day,
    )


def demo_people(day: date) -> list[PersonLine]:
    """Return those the demo offers at the door: one line for each person who can sign in."""
    order = {role: number for number, role in enumerate(Role)}
    lines = [
        line for line in people_lines(day) if line.has_account and line.roles and not line.ended
    ]
    return sorted(lines, key=lambda line: (order[line.roles[0]], line.person.full_name))


@dataclass(frozen=True, slots=True)
class PersonOnRecord:
    """One person with everything that bounds what they may do."""

    person: Person
    account: Account | None
    roles: Sequence[RoleAssignment]
    passes: Sequence[GuestPass]
    deputies: Sequence[DeputyTerm]
    deputy_for: Sequence[DeputyTerm]


def person_on_record(person: Person) -> PersonOnRecord:
    """Read one person's roles, passes and deputies, past and present, in a fixed count."""
    return PersonOnRecord(
        person=person,
        account=person.account,
        roles=list(person.roles.prefetch_related("galleries").order_by("-from_on", "pk")),
        passes=list(
            person.passes.select_related("organisation")
            .prefetch_related("museum_objects")
            .order_by("-from_on", "pk")
        ),
        deputies=list(person.deputies.select_related("deputy").order_by("-from_on", "pk")),
        deputy_for=list(person.deputy_for.select_related("for_person").order_by("-from_on", "pk")),
    )
