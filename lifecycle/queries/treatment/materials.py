"""What a material touched: if it turns out badly, every object has to be found."""

from collections.abc import Sequence

from lifecycle.records.models.treatment import Material, TreatmentStep


def treated_with(material: Material) -> Sequence[TreatmentStep]:
    """Return every step done with this batch, newest first, with object and place; one query."""
    return list(
        TreatmentStep.objects.filter(material=material)
        .select_related("museum_object__current_location", "step", "proposal", "observed_by")
        .order_by("-observed_at", "-pk")
    )
