"""What the card of an object named when a version was sent, out of the card's history.

A version keeps the community it was sent to. Those sent before they kept it do not say; the card's
history does, as of the moment they were sent.
"""

from datetime import datetime
from typing import Any, Final

from django.db.models import Model, OuterRef, QuerySet, Subquery

from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import ProposalVersion

COMMUNITY_THEN: Final = "community_then"


def with_card_then(
    versions: QuerySet[ProposalVersion, Any],
) -> QuerySet[ProposalVersion, Any]:
    """Versions that know whom their object's card named when they were sent; no further query."""
    cards = _cards().filter(
        id=OuterRef("proposal__museum_object_id"), history_date__lte=OuterRef("signed_at")
    )
    newest = cards.order_by("-history_date", "-history_id").values("source_community")[:1]
    return versions.annotate(**{COMMUNITY_THEN: Subquery(newest)})


def community_then(version: ProposalVersion) -> str:
    """Return whom the card named when the version was sent; one query if it was not read along."""
    if version.signed_at is None or not isinstance(version, Model):
        return ""
    if COMMUNITY_THEN in version.__dict__:
        return version.__dict__[COMMUNITY_THEN] or ""
    return _community_at(version.proposal.museum_object_id, version.signed_at)


def _community_at(object_id: int, at: datetime) -> str:
    cards = _cards().filter(id=object_id, history_date__lte=at)
    newest = cards.order_by("-history_date", "-history_id").values_list("source_community")
    found = newest.first()
    return str(found[0]) if found else ""


def _cards() -> QuerySet[Any, Any]:
    history: Any = MuseumObject.history
    found: QuerySet[Any, Any] = history.model.objects.all()
    return found
