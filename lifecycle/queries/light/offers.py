"""What can be offered instead of a no: another face, another object of the set, a facsimile.

Shorter and dimmer stand in the answer itself. An object's set are those whose number differs in
its last part alone (HCM.1922.7.1 to HCM.1922.7.12); what was named as an alternative counts too.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Final

from django.db.models import QuerySet

from lifecycle.planning.again import NextAllowed
from lifecycle.planning.day_words import day_words
from lifecycle.planning.levels import Position
from lifecycle.process.numbers import reading_order
from lifecycle.queries.light.accounts import next_allowed_in, position_asked
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import Exhibition, Face, Facsimile, MuseumObject, Place, Showing
from lifecycle.records.models.preparation.facsimiles import FROM_DELIVERED, FacsimileState

MOST_OF_SET: Final = 24
MOST_NAMED: Final = 3
THERE: Final = FROM_DELIVERED - {FacsimileState.DESTROYED}


def set_stem(number: str) -> str:
    """Return what the numbers of a set have in common; empty when the number has no last part.

    >>> set_stem("HCM.1922.7.12")
    'HCM.1922.7.'
    >>> set_stem("HCM.1908.12")
    ''
    """
    found = re.fullmatch(r"(.+\d[./-])\d+[a-z]?", number)
    stem = found.group(1) if found else ""
    # A number of two parts is year and running number: its neighbours are no set.
    return stem if len(re.findall(r"\d+", stem)) > 1 else ""


def others_of_set(thing: MuseumObject) -> QuerySet[MuseumObject]:
    """Return the other objects of an object's set, in the order of their numbers."""
    stem = set_stem(thing.object_number)
    if not stem:
        return MuseumObject.objects.none()
    # Ids alone: numbers like HCM.1922.7.1.2 belong to another level.
    rows = MuseumObject.objects.filter(object_number__startswith=stem).exclude(pk=thing.pk)
    return rows.exclude(object_number__regex=rf"^{re.escape(stem)}\d+[./-]").order_by(
        "object_number"
    )


def offers_instead(
    thing: MuseumObject,
    asked: Iterable[Face],
    *,
    first: date,
    days: int,
    at: datetime,
    exhibition: Exhibition | None = None,
    place: Place | None = None,
    named: Sequence[MuseumObject] = (),
) -> tuple[str, ...]:
    """Return what could be shown in the asked span instead, each a whole sentence.

    A fixed number of queries, whatever the size of the set.
    """
    taken = {face.pk for face in asked}
    near = [*dict.fromkeys([*named, *others_of_set(thing)[:MOST_OF_SET]])]
    faces = list(
        Face.objects.filter(museum_object__in=[thing, *near], never_show=False)
        .select_related("museum_object")
        .order_by("museum_object__object_number", "order", "pk")
    )
    gathered = Gathered(faces, at)
    if place is not None:
        gathered.book.read_light([place.pk])
    position = position_asked(gathered, exhibition, place)
    found: list[str] = []
    own = [face for face in faces if face.museum_object_id == thing.pk and face.pk not in taken]
    for face, answer in _answers(gathered, own, position, first, days):
        if answer.as_asked:
            found.append(f"Another face: {face.label}, from {day_words(first)} as asked.")
        elif answer.first is not None and not answer.missing:
            found.append(f"Another face: {face.label}, from {day_words(answer.first)}.")
    others = [face for face in faces if face.museum_object_id != thing.pk]
    able = [
        face
        for face, answer in _answers(gathered, others, position, first, days)
        if answer.as_asked
    ]
    numbers = sorted({face.museum_object.object_number for face in able}, key=reading_order)
    if numbers:
        more = len(numbers) - MOST_NAMED
        text = ", ".join(numbers[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        found.append(
            f"Another object of the set or list: {text}, from {day_words(first)} as asked."
        )
    found.append(_facsimile(taken))
    return tuple(found)


def _answers(
    gathered: Gathered, faces: Sequence[Face], position: Position, first: date, days: int
) -> list[tuple[Face, NextAllowed]]:
    return [
        (face, next_allowed_in(gathered, face, first_day=first, days=days, position=position))
        for face in faces
    ]


def _facsimile(faces: set[int]) -> str:
    rows = Facsimile.objects.filter(of_face__in=faces, state__in=[one.value for one in THERE])
    numbers = list(
        rows.order_by("facsimile_no").values_list("facsimile_no", flat=True)[:MOST_NAMED]
    )
    if numbers:
        return f"A facsimile: {', '.join(numbers)} {'is' if len(numbers) == 1 else 'are'} there."
    return "A facsimile: none is made yet."


def offers_for(showing: Showing, at: datetime) -> tuple[str, ...]:
    """Return what could be offered instead of a showing as it is asked for."""
    wanted = list(showing.faces_wanted.filter(struck=False).select_related("face"))
    rows = showing.alternatives.select_related("museum_object", "face__museum_object")
    things = [row.face.museum_object if row.face is not None else row.museum_object for row in rows]
    return offers_instead(
        showing.museum_object,
        [row.face for row in wanted],
        first=showing.show_from,
        days=(showing.show_to - showing.show_from).days + 1,
        at=at,
        exhibition=showing.exhibition,
        place=showing.place,
        named=[one for one in things if one is not None and one.pk != showing.museum_object_id],
    )
