"""What is recorded of a case, of its light before the object came, and of the way there."""

from collections.abc import Iterable, Sequence

from lifecycle.records.models.exhibitions import Exhibition
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import CaseReadiness, LightProof, RouteCheck
from lifecycle.records.models.showings import Showing


def case_of(exhibition: Exhibition, place: Place) -> CaseReadiness | None:
    return (
        CaseReadiness.objects.filter(exhibition=exhibition, place=place)
        .select_related("place", "exhibition", "ready_by", "layout")
        .first()
    )


def light_proofs_at(exhibition: Exhibition, places: Iterable[int]) -> Sequence[LightProof]:
    """Return the proofs at a place and around it (database ids), newest first."""
    return list(
        LightProof.objects.filter(exhibition=exhibition, place__in=list(places))
        .select_related("point", "instrument", "observed_by")
        .order_by("-observed_at", "-pk")
    )


def routes_of(showing: Showing) -> Sequence[RouteCheck]:
    """Return the walks for one showing, newest first."""
    return list(
        RouteCheck.objects.filter(showing=showing)
        .select_related("from_place", "to_place", "observed_by")
        .order_by("-observed_at", "-pk")
    )
