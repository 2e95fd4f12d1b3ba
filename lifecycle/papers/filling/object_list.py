"""Rows to the words of the object list."""

from collections.abc import Sequence

from lifecycle.papers.filling.block_o import (
    day,
    hazards_of,
    house,
    picture_words,
    place_path,
)
from lifecycle.papers.words.object_list import ListedObject, ObjectListWords
from lifecycle.process.words import Hazard
from lifecycle.queries.object_list import Hung, hang_of
from lifecycle.records.models import Exhibition


def object_list_words(exhibition: Exhibition) -> ObjectListWords:
    """The list as it stands. Errors: ValueError while no object is asked for."""
    hung = hang_of(exhibition)
    if not hung:
        raise ValueError(f"{exhibition.title} has no object yet: ask for one first.")
    places = exhibition.places.select_related("parent__parent__parent").order_by("name", "pk")
    return ObjectListWords(
        institution=house().name,
        short=exhibition.short,
        title=exhibition.title,
        run=f"{day(exhibition.opens)} to {day(exhibition.closes)}",
        places="; ".join(place_path(place, within_building=True) for place in places),
        objects=tuple(_listed(one) for one in hung),
        left_out="Values and places in store stand on no list.",
    )


def _listed(one: Hung) -> ListedObject:
    showing, thing = one.showing, one.showing.museum_object
    hazards = hazards_of(thing)
    first = one.faces[0].face if one.faces else None
    return ListedObject(
        order=one.order,
        exhibition_number=showing.exhibition_number,
        object_number=thing.object_number,
        title=thing.title,
        maker_and_date=", ".join(part for part in (thing.maker, thing.date_text) if part),
        faces="; ".join(row.face.label for row in one.faces),
        picture=picture_words(first.thumbnail) if first is not None else None,
        size="\n".join(f"{state}:\n{figures}" for state, figures in one.sizes),
        lender=thing.lender.name if thing.lender else "",
        place=one.place,
        conditions=one.condition_words,
        hazards=_hazards(hazards),
    )


def _hazards(hazards: Sequence[Hazard]) -> str:
    """The hazards by their names alone; evidence and protection stand on the papers that travel."""
    if list(hazards) == [Hazard.NONE_KNOWN]:
        return ""
    return f"Hazard: {', '.join(hazard.label for hazard in hazards)}"
