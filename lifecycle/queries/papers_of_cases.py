"""What there is to print of the cases that showings hang in: reading sheets, case conditions."""

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet

from lifecycle.process.stages import CLOSED
from lifecycle.process.words import PlaceKind
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
