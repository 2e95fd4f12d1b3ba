"""Sequences of usual steps, with the batch each line would take today."""

from collections.abc import Iterable
from typing import Any

from django.db.models import Prefetch, QuerySet

from lifecycle.records.models.treatment import Material, StepSequence, StepSequenceLine


def sequences() -> QuerySet[StepSequence, Any]:
    """All sequences with their lines, by name; two queries."""
    lines = StepSequenceLine.objects.filter(left_out=False).select_related("step")
    return StepSequence.objects.prefetch_related(
        Prefetch("lines", lines.order_by("order", "pk"))
    ).order_by("name", "pk")


def sequences_in_use() -> QuerySet[StepSequence, Any]:
    """Those that the bench offers."""
    return sequences().filter(retired_on=None)


def batches_for(lines: Iterable[StepSequenceLine]) -> dict[int, Material]:
    """Return, by the line's id, the batch in use that was opened last; one query."""
    rows = list(lines)
    found: dict[tuple[str, str], Material] = {}
    in_use = Material.objects.filter(
        used_up_on=None, name__in={line.material_name for line in rows if line.material_name}
    )
    for row in in_use.order_by("opened_on", "pk"):
        found[row.name, row.grade] = row
        found[row.name, ""] = row
    return {
        line.pk: found[line.material_name, line.grade]
        for line in rows
        if (line.material_name, line.grade) in found
    }
