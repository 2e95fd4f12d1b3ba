"""Where an object is: the only place that writes it."""

from datetime import datetime

from lifecycle.actions.refusals import Refused
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


def refuse_far(museum_object: MuseumObject, outer: Place) -> None:
    """Refuse when the object is on record as being somewhere else."""
    if not lies_within(museum_object.current_location, outer):
        here = museum_object.current_location
        where = f"in {here.name}" if here else "nowhere on record"
        raise Refused(
            f"{museum_object.object_number} is {where}, not in {outer.name}: "
            "record the movement that brought it there first."
        )
