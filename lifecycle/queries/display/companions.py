"""Companions of an object, named from either side of the bond, and where they are."""

from dataclasses import dataclass

from django.db.models import Q

from lifecycle.records.models import Companionship, DisplayPeriod, MuseumObject, Place, Showing


def companion_ids(object_id: int) -> dict[int, str]:
    """Return the companions that stand today, each with the reason; one query."""
    rows = Companionship.objects.filter(
        Q(museum_object=object_id) | Q(companion=object_id), ended_on=None
    ).order_by("pk")
    return {
        row.companion_id if row.museum_object_id == object_id else row.museum_object_id: row.reason
        for row in rows
    }


def companions_on_show(object_id: int) -> list[DisplayPeriod]:
    """Return the open display periods of the companions; two queries."""
    rows = DisplayPeriod.objects.filter(
        museum_object__in=companion_ids(object_id), closed_at=None, struck_at=None
    )
    return list(rows.select_related("museum_object", "place").order_by("pk"))


def named_companions(object_id: int) -> list[tuple[str, str]]:
    """Return the companions as (number, reason), by number; two queries."""
    reasons = companion_ids(object_id)
    rows = MuseumObject.objects.filter(pk__in=reasons).order_by("object_number")
    return [(row.object_number, reasons[row.pk]) for row in rows]


def names(text: str, number: str) -> bool:
    """Whether a text names an object by its whole number.

    >>> names("HCM.1899.31 stays", "HCM.1899.3")
    False
    """
    return number in [word.strip(",;:()") for word in text.replace(",", " ").split()] or (
        " " in number and number in text
    )


@dataclass(frozen=True, slots=True)
class CompanionLine:
    """One companion of an object in an exhibition: planned where, and whether it lies there."""

    thing: MuseumObject
    reason: str
    asked: Showing | None
    together: bool
    on_show: bool


def companions_in(showing: Showing) -> list[CompanionLine]:
    """Return each companion with its own showing in this exhibition; four queries.

    ``together``: both are planned for one case, or for one place.
    """
    reasons = companion_ids(showing.museum_object_id)
    if not reasons:
        return []
    asked = {
        row.museum_object_id: row
        for row in Showing.objects.filter(
            exhibition=showing.exhibition_id, museum_object__in=reasons, journal__isnull=False
        )
        .exclude(stage__in=("declined", "withdrawn"))
        .select_related("place")
        .distinct()
        .order_by("pk")
    }
    shown = {row.museum_object_id for row in companions_on_show(showing.museum_object_id)}
    things = MuseumObject.objects.filter(pk__in=reasons).order_by("object_number")
    return [
        CompanionLine(
            thing,
            reasons[thing.pk],
            asked.get(thing.pk),
            together=case_of(showing.place) is not None
            and case_of(showing.place) == case_of(getattr(asked.get(thing.pk), "place", None)),
            on_show=thing.pk in shown,
        )
        for thing in things
    ]


def case_of(place: Place | None) -> int | None:
    """The case a position lies in; a case, or a position in none, is itself."""
    if place is None:
        return None
    return place.parent_id if place.kind == "position" and place.parent_id else place.pk
