"""Lamps that light a case: those in it, at its positions and in the room around it."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from lifecycle.process.rights import SubjectFacts
from lifecycle.process.stages import CLOSED
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import about_work_at, case_around, places_below
from lifecycle.records.models.places import Place
from lifecycle.records.models.preparation import Lamp
from lifecycle.records.models.showings import Showing


def about_lamps(place: Place) -> SubjectFacts:
    """Return what work on the lamps of a place is about: the gallery, the jobs and the exhibition.

    An exhibition manager prepares the cases of the own exhibition; where two are planned for one
    case, that is the one that opens first.
    """
    planned = Showing.objects.filter(place__in=places_below([place.pk]))
    next_one = planned.exclude(stage__in=sorted(CLOSED)).order_by("exhibition__opens", "pk").first()
    return replace(
        about_work_at(place), exhibition_id=None if next_one is None else next_one.exhibition_id
    )


def lighting(place: Place) -> frozenset[int]:
    """Return the places whose lamps light a case (database ids): it, those in it, its room.

    A position is lit by all that lights its case, the lamps of its neighbours too.
    """
    case = case_around(place)
    found = set(places_below([case.pk]))
    if case.parent_id is not None and case.kind != PlaceKind.ROOM:
        found.add(case.parent_id)
    return frozenset(found)


def levels_of(case: Place) -> str:
    """Return the levels of the lamps that light a case today, as 'L1 40 %, L2 35 %'."""
    lit = [row for row in lamps_of(lighting(case)) if row.taken_out_at is None]
    return ", ".join(
        f"{row.name} {row.dim_percent} %" for row in lit if row.dim_percent is not None
    )


def lamps_of(places: Collection[int]) -> Sequence[Lamp]:
    """Return the lamps of some places, those taken out last; one query."""
    rows = Lamp.objects.filter(place__in=places).select_related("place", "changed_by")
    return sorted(rows, key=lambda row: (row.taken_out_at is not None, row.place_id, row.name))
