"""Whether a facsimile still shows the state that a visitor sees beside it."""

from django.db.models import Q

from lifecycle.records.models.preparation import Facsimile
from lifecycle.records.models.treatment import TreatmentStep


def treated_since(row: Facsimile) -> TreatmentStep | None:
    """Return the last step at its face, or at the whole object, after the master was taken."""
    if row.master is None or row.master.taken_at is None:
        return None
    here = Q(face=row.of_face_id) | Q(face=None)
    steps = TreatmentStep.objects.filter(
        here,
        museum_object=row.of_face.museum_object_id,
        observed_at__gt=row.master.taken_at,
        corrected_by=None,
    )
    return steps.select_related("step").order_by("-observed_at", "-pk").first()
