"""What there is to print of the cases that showings hang in: reading sheets, case conditions."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q, QuerySet

from lifecycle.process.stages import CLOSED
from lifecycle.process.words import PlaceKind
from lifecycle.queries.light.case_conditions import HERE
from lifecycle.queries.printable import LIST_LIMIT, Asked, Printable
from lifecycle.records.models import PaperKind, Place, Showing

WHAT = {
    PaperKind.READING_SHEET: "light, point by point",
    PaperKind.CASE_CONDITIONS: "for those who design, build and light the case",
}


def of_cases(
    paper: PaperKind, showings: "QuerySet[Showing, Any]", asked: Asked
) -> Iterator[Printable]:
    """The cases of the showings asked for, each once with its objects; they belong to no day."""
    if not asked.about_something or asked.day is not None:
        return
    rows = showings.filter(asked.of_showings(), place__isnull=False).exclude(
        stage__in=sorted(CLOSED)
    )
    cases: dict[Place, dict[str, None]] = {}
    for row in rows.select_related("place__parent", "museum_object").order_by("pk"):
        place = row.place
        if place is not None and place.kind == PlaceKind.POSITION and place.parent is not None:
            place = place.parent
        if place is not None:
            cases.setdefault(place, {})[row.museum_object.object_number] = None
    if paper is PaperKind.CASE_CONDITIONS:
        for shut in _hold_what_is_shut(cases, showings):
            cases.pop(shut, None)
    for place, numbers in sorted(cases.items(), key=lambda case: case[0].name)[:LIST_LIMIT]:
        yield Printable(
            paper=paper,
            uid=place.uid,
            number=place.code,
            objects=tuple(numbers),
            what=f"{place.name}: {WHAT[paper]}",
            day=None,
            printed=0,
        )


def _hold_what_is_shut(cases: Iterable[Place], showings: "QuerySet[Showing, Any]") -> list[Place]:
    """Cases with an object that is not open to the person: their sheet speaks of all in them."""
    by_id = {place.pk: place for place in cases}
    there = Q(place__in=by_id) | Q(place__parent__in=by_id)
    others = Showing.objects.filter(there, stage__in=[stage.value for stage in HERE])
    found = others.exclude(pk__in=showings.values("pk")).values_list("place", "place__parent")
    return list({by_id[pk] for pair in found for pk in pair if pk in by_id})
