"""Display periods: opened when a face comes on show, closed when it leaves."""

from collections.abc import Iterator
from datetime import datetime

from lifecycle.actions.movements.locating import set_location
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    DisplayPeriod,
    Face,
    InstallCheck,
    MovementLine,
    MuseumObject,
    Person,
    Place,
    Showing,
    TurnRecord,
)
from lifecycle.records.models.display.periods import PeriodOpening


def open_period_of(showing: Showing) -> DisplayPeriod | None:
    """Return the showing's open display period, locked for writing."""
    return (
        DisplayPeriod.objects.select_for_update(of=("self",))
        .filter(showing=showing, closed_at=None, struck_at=None)
        .select_related("face", "place")
        .first()
    )


def refuse_taken(place: Place, showing: Showing) -> None:
    """Refuse a place that is no single position, or in which another object lies."""
    for reason in faults_of_place(place, showing):
        raise Refused(reason)


def faults_of_place(place: Place, showing: Showing) -> Iterator[Reason]:
    """Yield why the object can't be shown in a place; nothing when it can."""
    number = showing.museum_object.object_number
    if place.kind not in (PlaceKind.POSITION, PlaceKind.CASE):
        text = f"{place.name} is no position: name the position in which {number} lies."
        yield Reason(text, "place", "place.kind")
        return
    taken = (
        DisplayPeriod.objects.filter(place=place, closed_at=None, struck_at=None)
        .exclude(showing=showing)
        .select_related("museum_object")
        .first()
    )
    if taken is not None:
        text = (
            f"{place.name} is taken by {taken.museum_object.object_number}: "
            "take it down or swap the two."
        )
        yield Reason(text, "place", "place.taken")
        return
    gone = MovementLine.objects.filter(open=True, movement__left_at__isnull=False)
    lying = (
        MuseumObject.objects.filter(current_location=place)
        .exclude(pk=showing.museum_object_id)
        .exclude(pk__in=gone.values("museum_object"))
        .order_by("pk")
        .first()
    )
    if lying is not None and place.kind == PlaceKind.POSITION:
        text = (
            f"{lying.object_number} still lies in {place.name}: hand it over with its movement "
            "first."
        )
        yield Reason(text, "place", "place.lying")


def open_period(
    *,
    showing: Showing,
    face: Face,
    place: Place,
    opened_by: PeriodOpening,
    opened_at: datetime,
    by: Person,
    role: Role,
    at: datetime,
    install_check: InstallCheck | None = None,
    turn: TurnRecord | None = None,
) -> DisplayPeriod:
    """Open the period of a face that has just come on show, and narrow the object's place."""
    period = DisplayPeriod(
        showing=showing,
        museum_object=showing.museum_object,
        face=face,
        place=place,
        install_check=install_check,
        turn=turn,
        opened_by=opened_by.value,
        opened_at=opened_at,
    ).keep(by=by, role=role, why="on show", at=at)
    thing = MuseumObject.objects.select_for_update().get(pk=showing.museum_object_id)
    set_location(
        museum_object=thing, place=place, by=by, role=role, why="placed in its position", at=at
    )
    return period


def close_period(
    *, period: DisplayPeriod, closed_at: datetime, by: Person, role: Role, why: str, at: datetime
) -> DisplayPeriod:
    """Close the period at the moment the light or the display ended.

    :raises Refused: if that moment lies before the face came on show
    """
    if before(closed_at, period.opened_at):
        text = "This moment lies before the face came on show; look at the date and time again."
        raise Refused(Reason(text, "closed_at", "period.before_open"))
    period.closed_at = max(closed_at, period.opened_at)
    return period.keep(by=by, role=role, why=why, at=at, fields=["closed_at"])
