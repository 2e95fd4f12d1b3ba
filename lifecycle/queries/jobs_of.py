"""Whose job a showing is: everybody named on it, which is what 'own job' means in the rights."""

from collections.abc import Sequence
from typing import Final

from lifecycle.records.models import Showing

JOB_PATHS: Final = (
    "asked_by",
    "answers__by",
    "journal__by",
    "journal__second",
)
"""From a showing to the people named on it; a subject that names people adds its path here."""


def job_person_ids(showing_ids: Sequence[int]) -> dict[int, frozenset[int]]:
    """Return, per showing, the people named on it; one query for each path, however many rows."""
    people: dict[int, set[int]] = {pk: set() for pk in showing_ids}
    for path in JOB_PATHS:
        rows = Showing.objects.filter(pk__in=showing_ids).values_list("pk", path)
        for showing_id, person_id in rows.distinct():
            if person_id is not None:
                people[showing_id].add(person_id)
    return {pk: frozenset(ids) for pk, ids in people.items()}
