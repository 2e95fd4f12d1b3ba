"""Who can put hands on objects on a given day."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import F, Q, QuerySet

from lifecycle.process.saying import HANDS
from lifecycle.process.stages import Role
from lifecycle.records.models import Person, RoleAssignment


def _on(day: date) -> Q:
    return (
        Q(role__in=[role.value for role in HANDS], from_on__lte=day)
        & (Q(until_on=None) | Q(until_on__gte=day))
        & (Q(person__ends_on=None) | Q(person__ends_on__gte=day))
    )


def hands_on(day: date) -> frozenset[int]:
    """Return the people who hold a post as conservator, registrar or technician on that day."""
    return frozenset(RoleAssignment.objects.filter(_on(day)).values_list("person", flat=True))


def people_with_hands(day: date) -> list[Person]:
    """Return the same people as rows, by name, for a choice in a form."""
    return list(Person.objects.filter(pk__in=hands_on(day)).order_by("full_name", "pk"))


def lost_hands(pairs: dict[tuple[int, date], None]) -> frozenset[tuple[int, date]]:
    """Return those (person, day) pairs on which the person is gone or has lost the post.

    One query, whatever the number of pairs.
    """
    people = {person for person, _ in pairs}
    posts = list(
        RoleAssignment.objects.filter(person__in=people, role__in=[role.value for role in HANDS])
        .annotate(ends=F("person__ends_on"))
        .values_list("person", "from_on", "until_on", "ends")
    )

    def able(person: int, day: date) -> bool:
        return any(
            person == who
            and from_on <= day
            and (until_on is None or until_on >= day)
            and (ends is None or ends >= day)
            for who, from_on, until_on, ends in posts
        )

    return frozenset(pair for pair in pairs if not able(*pair))


def hands_by_day(days: Iterable[date]) -> dict[date, int]:
    """Return how many people with such a post there are on each day, in one query."""
    posts = list(
        RoleAssignment.objects.filter(role__in=[role.value for role in HANDS])
        .annotate(ends=F("person__ends_on"))
        .values_list("person", "from_on", "until_on", "ends")
    )
    return {
        day: len(
            {
                who
                for who, from_on, until_on, ends in posts
                if from_on <= day
                and (until_on is None or until_on >= day)
                and (ends is None or ends >= day)
            }
        )
        for day in days
    }


def conservators_on(day: date) -> QuerySet[Person, Any]:
    """Return the people who hold a conservator's post on that day, by name."""
    posts = RoleAssignment.objects.filter(_on(day), role=Role.CONSERVATOR.value)
    return Person.objects.filter(pk__in=posts.values("person")).order_by("full_name", "pk")
