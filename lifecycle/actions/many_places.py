"""Several places at once: N1–N9, one name a line, and numbered places inside each of them."""

import re
from dataclasses import replace
from datetime import datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.places import PlaceDetails, add_place
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Person, Place

MOST: Final = 200
#: What is made by number inside a place of this kind: positions where things are shown, shelves
#: where they rest.
NUMBERED_INSIDE: Final = {
    PlaceKind.ROOM: PlaceKind.POSITION,
    PlaceKind.CASE: PlaceKind.POSITION,
    PlaceKind.STORE: PlaceKind.SHELF,
    PlaceKind.BAY: PlaceKind.SHELF,
}
_SPAN = re.compile(
    r"(?P<stem>.*?)(?P<first>\d+)\s*(?:–|—|\.\.|-|\bto\b)\s*(?P<again>.*?)(?P<last>\d+)"
)


def names_meant(text: str) -> list[str]:
    """Return the names a person wrote: one a line or parted by commas, with spans counted out.

    Noughts before a number stay: 01–12 gives 01, 02 and so on. What only looks like a span
    (another stem, or counted down) is a name.

    >>> names_meant("N1–N3, T1")
    ['N1', 'N2', 'N3', 'T1']
    >>> names_meant("position 08-10")
    ['position 08', 'position 09', 'position 10']
    """
    found: list[str] = []
    for part in re.split(r"[\n,;]", text):
        name = " ".join(part.split())
        if name:
            found += _counted(name)
    return found


def _counted(name: str) -> list[str]:
    match = _SPAN.fullmatch(name)
    if match is None or match["again"] not in ("", match["stem"]):
        return [name]
    first, last = int(match["first"]), int(match["last"])
    if not 0 < last - first < MOST:
        return [name]
    width = len(match["first"]) if match["first"].startswith("0") else 0
    return [f"{match['stem']}{number:0{width}d}" for number in range(first, last + 1)]


@transaction.atomic
def add_places(
    *,
    by: Person,
    role: Role,
    at: datetime,
    names: str,
    details: PlaceDetails,
    inside: int = 0,
) -> list[Place]:
    """Add a place for each name with the same details, all or none.

    :param inside: how many numbered positions or shelves to make inside each of them
    :raises Refused: no name, too many, a name that is taken, positions in what holds none
    """
    meant = names_meant(names)
    reasons = []
    if not meant:
        reasons.append(Reason("Name the place as people call it.", "name"))
    twice = sorted({name for name in meant if meant.count(name) > 1})
    if twice:
        reasons.append(Reason(f"{', '.join(twice)}: written twice.", "name"))
    if len(meant) * (1 + inside) > MOST:
        text = f"{len(meant) * (1 + inside)} places at once are too many; at most {MOST}."
        reasons.append(Reason(text, "name"))
    numbered = NUMBERED_INSIDE.get(details.kind)
    if inside and numbered is None:
        text = (
            "Positions lie in a room or a case, shelves in a store or a bay; neither in a "
            f"{details.kind.label}."
        )
        reasons.append(Reason(text, "inside"))
    if reasons:
        raise Refused(reasons)
    made = []
    for name in meant:
        place = add_place(by=by, role=role, at=at, details=replace(details, name=name))
        made.append(place)
        if numbered is None:
            continue
        for number in range(1, inside + 1):
            one = PlaceDetails(
                name=f"{numbered.label} {number}",
                kind=numbered,
                parent=place,
                public=details.public,
            )
            add_place(by=by, role=role, at=at, details=one)
    return made
