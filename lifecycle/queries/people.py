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


def people_in_house(day: date) -> QuerySet[Person, Any]:
    """Everybody with a role on ``day`` who can sign in: whom work may be passed to."""
    held = RoleAssignment.objects.filter(running(day)).values("person")
    return (
        Person.objects.filter(pk__in=held, account__is_active=True)
        .exclude(ends_on__lt=day)
        .order_by("full_name", "pk")
    )


@dataclass(frozen=True, slots=True)
class Holder:
    """One person in one role today, with how long and how they hold it."""

    person: Person
    until: date | None
    note: str


@dataclass(frozen=True, slots=True)
class RoleToday:
    """A role with everybody who holds it today, deputies and guests named as such."""

    role: Role
    holders: tuple[Holder, ...]


def holders_today(day: date) -> list[RoleToday]:
    """Return every role with the people holding it on ``day``, in three queries."""
    found: dict[str, list[Holder]] = {role.value: [] for role in Role}

    def put(role: str, person: Person, until: date | None, note: str = "") -> None:
        if person.ends_on is not None and person.ends_on < day:
            return
        until = min(filter(None, (until, person.ends_on)), default=None)
        found[role].append(Holder(person, until, note))

    posts = RoleAssignment.objects.filter(running(day)).select_related("person")
    for row in posts.order_by("person__full_name", "pk"):
        put(row.role, row.person, row.until_on)
    terms = DeputyTerm.objects.filter(running(day)).select_related("deputy", "for_person")
    for term in terms.order_by("deputy__full_name", "pk"):
        note = f"deputy of {term.for_person.full_name}, to consent"
        put(term.role, term.deputy, term.until_on, note)
    passes = GuestPass.objects.filter(running(day)).select_related("person", "organisation")
    for one in passes.order_by("person__full_name", "pk"):
        put(one.role, one.person, one.until_on, f"guest pass, {one.organisation.name}")
    return [RoleToday(role, tuple(found[role.value])) for role in Role]


def last_pass(person: Person) -> GuestPass | None:
    """Return the pass of a guest that ended last, or will begin; one query."""
    passes = GuestPass.objects.filter(person=person).select_related("organisation")
    return passes.order_by("-until_on", "-pk").first()
