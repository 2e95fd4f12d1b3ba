"""Immediate words to the conservators on the staff: only for what cannot wait for the morning."""

from datetime import datetime

from django.db.models import Q

from lifecycle.actions.work import tell
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person


def conservators(at: datetime) -> list[Person]:
    """Return everybody who holds the conservator's post today, in one query."""
    today = museum_day(at)
    still = Q(roles__until_on=None) | Q(roles__until_on__gte=today)
    here = Q(ends_on=None) | Q(ends_on__gte=today)
    rows = Person.objects.filter(
        here & still, roles__role=Role.CONSERVATOR, roles__from_on__lte=today
    )
    return list(rows.distinct().order_by("pk"))


def tell_conservators(*, key: str, subject: str, body: str, at: datetime) -> int:
    """Write one mail to each conservator, once for its key; returns to how many."""
    people = conservators(at)
    for person in people:
        tell(person=person, key=key, subject=subject, body=body, at=at)
    return len(people)
