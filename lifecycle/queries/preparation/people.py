"""People who can be named on a ticket today."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.people import Person


def holders_of(role: Role | None, at: datetime) -> QuerySet[Person, Any]:
    """Return who holds the role today (None: any role of the house), by name."""
    day = museum_day(at)
    live = Q(roles__from_on__lte=day) & (Q(roles__until_on=None) | Q(roles__until_on__gte=day))
    if role is not None:
        live &= Q(roles__role=role)
    staying = Q(ends_on=None) | Q(ends_on__gte=day)
    return Person.objects.filter(live, staying).distinct().order_by("full_name", "pk")


def the_only(people: QuerySet[Any, Any]) -> UUID | None:
    """Return the uid of the only row there is to choose, or None: a choice of one is no choice."""
    found = list(people.values_list("uid", flat=True)[:2])
    return found[0] if len(found) == 1 else None
