"""What can take the place of an object, and with which movement the other is carried off."""

from typing import Any

from django.db.models import QuerySet

from lifecycle.process.stages import Stage
from lifecycle.records.models import Movement, Showing


def may_come_in(showing: Showing) -> QuerySet[Showing, Any]:
    """Return the showings of the same exhibition that are ready or resting in a rotation."""
    return (
        Showing.objects.filter(
            exhibition=showing.exhibition_id,
            stage__in=[Stage.READY.value, Stage.ROTATION.value],
        )
        .exclude(pk=showing.pk)
        .select_related("museum_object", "exhibition", "place")
        .order_by("museum_object__object_number", "pk")
    )


def ways_off(showing: Showing) -> QuerySet[Movement, Any]:
    """Return the authorised movements that carry this object and have not left."""
    return Movement.objects.filter(
        lines__museum_object=showing.museum_object_id,
        authorised_at__isnull=False,
        left_at=None,
        cancelled_at=None,
    ).order_by("-pk")
