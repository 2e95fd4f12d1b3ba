"""Whose job a showing is: everybody named on it, which is what 'own job' means in the rights."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from django.db import connection
from django.db.models import F

from lifecycle.records.models import Showing

JOB_PATHS: Final = (
    "asked_by",
    "answers__by",
    "journal__by",
    "journal__second",
    "appointments__person_1",
    "appointments__person_2",
    "install_checks__person_1",
    "install_checks__person_2",
    "turns__person_1",
    "turns__person_2",
    "movement_lines__movement__carried_by",
    "condition_reports__entered_by",
    "condition_reports__examiners",
    "proposals__opened_by",
    "imaging_jobs__with_whom",
    "facsimiles__with_whom",
    "mounts__with_whom",
    "housings__with_whom",
)
"""From a showing to the people named on it; a subject that names people adds its path here."""


def job_person_ids(showing_ids: Sequence[int]) -> dict[int, frozenset[int]]:
    """Return, per showing, the people named on it; one query, however many rows."""
    people: dict[int, set[int]] = {pk: set() for pk in showing_ids}
    if people:
        with connection.cursor() as cursor:
            cursor.execute(_question(connection.alias, len(people)), [*people] * len(JOB_PATHS))
            for showing_id, person_id in cursor.fetchall():
                if person_id is not None:
                    people[showing_id].add(person_id)
    return {pk: frozenset(ids) for pk, ids in people.items()}


@lru_cache(maxsize=64)
def _question(alias: str, count: int) -> str:
    """Return the SQL for so many showings, each path asking for all of them in their order.

    Kept, since every page asks it and putting the paths together takes far longer than answering.
    """
    showings = Showing.objects.filter(pk__in=range(1, count + 1)).order_by()
    first, *rest = (
        showings.annotate(named=F(path)).values_list("pk", "named") for path in JOB_PATHS
    )
    sql, _ = first.union(*rest).query.get_compiler(alias).as_sql()
    return str(sql)
