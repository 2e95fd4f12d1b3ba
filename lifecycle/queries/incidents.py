"""Incidents: the open ones first, and what each still lacks."""

from datetime import datetime
from typing import Any, Final

from django.db.models import Q, QuerySet

from lifecycle.process.rights import PersonFacts
from lifecycle.queries.rights import may_see_objects
from lifecycle.records.models import Incident, MuseumObject

LIST_LIMIT: Final = 200


def incidents_list(person: PersonFacts, at: datetime, *, closed: bool = False) -> list[Incident]:
    """Return incidents this person may see, the latest first; two queries, at most 200.

    Somebody who reported one always sees it.
    """
    seen = may_see_objects(person, MuseumObject.objects.all()).values("pk")
    rows: QuerySet[Incident, Any] = Incident.objects.filter(
        Q(lines__museum_object__in=seen) | Q(reporter=person.person_id)
    ).distinct()
    if not closed:
        rows = rows.filter(closed_at=None)
    return list(
        rows.select_related("kind", "place", "reporter")
        .prefetch_related("lines__museum_object")
        .order_by("-discovered_at", "-pk")[:LIST_LIMIT]
    )
