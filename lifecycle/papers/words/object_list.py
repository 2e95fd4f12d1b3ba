"""The object list of an exhibition in the order of the hang; no store place, no value."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import PictureWords


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedObject:
    """One object of the list, everything in words."""

    order: int
    exhibition_number: str
    object_number: str
    title: str
    maker_and_date: str
    faces: str
    picture: PictureWords | None
    size: str
    lender: str
    place: str
    conditions: str
    hazards: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectListWords:
    institution: str
    short: str
    title: str
    run: str
    places: str
    objects: tuple[ListedObject, ...]
    left_out: str
