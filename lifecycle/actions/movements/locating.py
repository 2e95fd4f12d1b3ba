"""Where an object is: the only place that writes it."""

from datetime import datetime

from lifecycle.process.stages import Role
from lifecycle.records.models import MuseumObject, Person, Place


def set_location(
    *, museum_object: MuseumObject, place: Place, by: Person, role: Role, why: str, at: datetime
) -> None:
    """Write where the object is now. Called when a movement is received, and when an install
    check narrows its place from the case to the position inside it.
    """
    if museum_object.current_location_id == place.pk:
        return
    museum_object.current_location = place
    museum_object.keep(by=by, role=role, why=why, at=at, fields=["current_location"])


def lies_within(place: Place | None, outer: Place) -> bool:
    """Return whether ``place`` is ``outer`` or lies inside it."""
    seen: set[int] = set()
    while place is not None and place.pk not in seen:
        if place.pk == outer.pk:
            return True
        seen.add(place.pk)
        place = place.parent
    return False
