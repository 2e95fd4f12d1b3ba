"""The tree of places and their reading points."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.pictures import store_picture
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import (
    LitTimetable,
    Organisation,
    Person,
    Picture,
    Place,
    ReadingPoint,
)
from lifecycle.records.models.pictures import PicturePurpose

K: Final = PlaceKind
#: Which place lies in which: site > building > room > case > position, store > bay > shelf.
LIES_IN: Final = {
    K.SITE: frozenset[PlaceKind](),
    K.BUILDING: frozenset({K.SITE}),
    K.ROOM: frozenset({K.SITE, K.BUILDING}),
    K.CASE: frozenset({K.BUILDING, K.ROOM}),
    K.POSITION: frozenset({K.ROOM, K.CASE}),
    K.STORE: frozenset({K.SITE, K.BUILDING}),
    K.BAY: frozenset({K.STORE}),
    K.SHELF: frozenset({K.STORE, K.BAY}),
    K.BENCH: frozenset({K.SITE, K.BUILDING, K.ROOM, K.STUDIO}),
    K.STUDIO: frozenset({K.SITE, K.BUILDING}),
    K.QUARANTINE: frozenset({K.SITE, K.BUILDING, K.ROOM}),
    K.VEHICLE: frozenset[PlaceKind](),
    K.LENDER: frozenset[PlaceKind](),
}
#: What another place can lie in at all.
HOLDERS: Final = frozenset[PlaceKind]().union(*LIES_IN.values())

#: Who fixes and photographs reading points, and keeps the plans they stand on.
POINT_KEEPERS: Final = (Deed.EXAMINE, Deed.STEWARD, Deed.REGISTER)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceDetails:
    """What is known of one place."""

    name: str
    kind: PlaceKind
    parent: Place | None = None
    timetable: LitTimetable | None = None
    public: bool = False
    organisation: Organisation | None = None
    lock_note: str = ""


def place_deed(role: Role) -> Deed:
    """Places are kept by stewards, registrars and the head."""
    return Deed.STEWARD if role is Role.STEWARD else Deed.REGISTER


def point_deed(role: Role) -> Deed:
    """Conservators keep reading points and their plans too, beside those who keep places."""
    return Deed.EXAMINE if role is Role.CONSERVATOR else place_deed(role)


def _check(details: PlaceDetails, *, besides: Place | None) -> None:
    reasons = []
    name, parent = details.name.strip(), details.parent
    if not name:
        reasons.append(Reason("Name the place as people call it.", "name"))
    twins = Place.objects.filter(parent=parent, name__iexact=name)
    if name and twins.exclude(pk=besides.pk if besides else 0).exists():
        where = f"in {parent.name}" if parent else "at the top"
        reasons.append(Reason(f"There is a place “{name}” {where} already.", "name"))
    allowed = LIES_IN[details.kind]
    if parent is not None and PlaceKind(parent.kind) not in allowed:
        words = " or ".join(sorted(kind.label for kind in allowed)) or "nothing else"
        reasons.append(
            Reason(
                f"A {details.kind.label} lies in a {words}, not in a "
                f"{PlaceKind(parent.kind).label}."
                if allowed
                else f"A {details.kind.label} lies in no other place.",
                "parent",
            )
        )
    if parent is None and details.kind in {K.POSITION, K.SHELF, K.BAY}:
        reasons.append(Reason(f"Say in what this {details.kind.label} lies.", "parent"))
    if besides is not None and _lies_below(parent, besides):
        reasons.append(Reason("A place cannot lie inside itself.", "parent"))
    if details.kind is K.LENDER and details.organisation is None:
        reasons.append(Reason("Name the lender whose place this is.", "organisation"))
    if reasons:
        raise Refused(reasons)


def _lies_below(place: Place | None, other: Place) -> bool:
    while place is not None:
        if place.pk == other.pk:
            return True
        place = place.parent
    return False


def _fill(place: Place, details: PlaceDetails) -> Place:
    for name in PlaceDetails.__dataclass_fields__:
        value = getattr(details, name)
        setattr(place, name, value.strip() if isinstance(value, str) else value)
    return place


@transaction.atomic
def add_place(*, by: Person, role: Role, at: datetime, details: PlaceDetails) -> Place:
    """Add a place; its short code is for its label."""
    allow(by=by, role=role, deed=place_deed(role), at=at)
    _check(details, besides=None)
    return _fill(Place(), details).keep(by=by, role=role, why="Place put on record.", at=at)


@transaction.atomic
def change_place(
    *, by: Person, role: Role, at: datetime, place: Place, details: PlaceDetails, why: str
) -> Place:
    """Change a place. A new timetable counts for the light from the day it is set."""
    allow(by=by, role=role, deed=place_deed(role), at=at)
    stored = Place.objects.select_for_update().get(pk=place.pk)
    _check(details, besides=stored)
    if not why.strip():
        raise Refused(Reason("Say why the place changes; the reason stays with it.", "why"))
    return _fill(stored, details).keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def close_place(*, by: Person, role: Role, at: datetime, place: Place, why: str) -> Place:
    """Take a place out of use; refused while an object lies there or in a place inside it."""
    allow(by=by, role=role, deed=place_deed(role), at=at)
    stored = Place.objects.select_for_update().get(pk=place.pk)
    reasons = []
    here = list(stored.objects_here.order_by("object_number")[:5])
    if here:
        numbers = ", ".join(one.object_number for one in here)
        reasons.append(Reason(f"{numbers} still lies in {stored.name}: move it first.", "why"))
    inside = stored.children.filter(closed_on=None).order_by("name").first()
    if inside is not None:
        reasons.append(Reason(f"{inside.name} lies in {stored.name}: close it first.", "why"))
    if not why.strip():
        reasons.append(Reason("Say why the place is closed.", "why"))
    if stored.closed_on is not None:
        reasons.append(Reason(f"{stored.name} is closed already.", "why"))
    if reasons:
        raise Refused(reasons)
    stored.closed_on = museum_day(at)
    return stored.keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def add_reading_point(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    letter: str,
    label: str,
    photo: bytes | None = None,
    photo_name: str = "",
) -> ReadingPoint:
    """Fix a point and plane where light is always read, so that readings can be compared.

    :param photo: a picture that shows where the sensor lies; it stands on page and reading sheet
    """
    allow(by=by, role=role, deed=point_deed(role), at=at)
    stored = Place.objects.select_for_update().get(pk=place.pk)
    letter, label = letter.strip().upper(), label.strip()
    reasons = []
    if not letter.isalnum() or len(letter) > 4:
        reasons.append(Reason("Give the point a short letter, such as A or B2.", "letter"))
    elif stored.reading_points.filter(letter=letter).exists():
        reasons.append(Reason(f"{stored.name} has a point {letter} already.", "letter"))
    if not label:
        reasons.append(Reason("Say where the sensor lies and which way it faces.", "label"))
    if reasons:
        raise Refused(reasons)
    point = ReadingPoint(place=stored, letter=letter, label=label)
    if photo is not None:
        point.photo = _photograph(photo, photo_name, by=by, role=role, at=at)
    return point.keep(by=by, role=role, why="Reading point fixed.", at=at)


def _photograph(data: bytes, name: str, *, by: Person, role: Role, at: datetime) -> Picture:
    return store_picture(
        data=data,
        name=name,
        purpose=PicturePurpose.READING_POINT,
        by=by,
        role=role,
        at=at,
        taken_by=by,
        field="photo",
    )


@transaction.atomic
def photograph_reading_point(
    *, by: Person, role: Role, at: datetime, point: ReadingPoint, photo: bytes, photo_name: str
) -> ReadingPoint:
    """Give a point the photograph that shows it now; an older one stays among the pictures.

    :raises Refused: if the point is retired, or the bytes are no picture
    """
    allow(by=by, role=role, deed=point_deed(role), at=at)
    stored = ReadingPoint.objects.select_for_update().get(pk=point.pk)
    if stored.retired_on is not None:
        raise Refused(Reason(f"Point {stored.letter} is retired: nobody reads there.", "photo"))
    stored.photo = _photograph(photo, photo_name, by=by, role=role, at=at)
    return stored.keep(by=by, role=role, why="Point photographed.", at=at, fields=["photo"])


@transaction.atomic
def retire_reading_point(
    *, by: Person, role: Role, at: datetime, point: ReadingPoint, why: str
) -> ReadingPoint:
    """Read there no longer; readings taken there keep their point."""
    allow(by=by, role=role, deed=point_deed(role), at=at)
    stored = ReadingPoint.objects.select_for_update().get(pk=point.pk)
    if stored.retired_on is not None:
        raise Refused(f"Point {stored.letter} is retired already.")
    if not why.strip():
        raise Refused(Reason("Say why light is read there no longer.", "why"))
    stored.retired_on = museum_day(at)
    return stored.keep(by=by, role=role, why=why, at=at)
