"""What the form of a movement or of a planned day begins with, from where the object stands."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from lifecycle.process.links import unplanned_install
from lifecycle.process.stages import Stage
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    DisplayPeriod,
    Face,
    FaceWanted,
    Movement,
    MuseumObject,
    Place,
    Showing,
)
from lifecycle.records.models.display.rotation import AppointmentKind

#: Why an object is carried from each stage; codes of the open list of reasons for a move.
_WHY: Final = {
    Stage.EXAMINATION: "examine",
    Stage.TREATMENT: "treat",
    Stage.MOUNTING: "fit",
    Stage.READY: "install",
    Stage.ON_DISPLAY: "deinstall",
    Stage.ROTATION: "turn",
    Stage.DEINSTALL_CHECK: "deinstall",
    Stage.REHOUSING: "return-to-store",
}


@dataclass(frozen=True, slots=True)
class WayOn:
    """Where the object goes next as a rule, why, and the places one would think of first."""

    to_place: Place | None
    reason: str
    likely: tuple[Place, ...]


def way_on(showing: Showing | None, thing: MuseumObject) -> WayOn:
    """Propose the next way of an object; a person may choose any other.

    Before installing the bench, then its planned position, afterwards the bench again, at last
    its usual place. Three queries at most.
    """
    bench = _bench_of(thing)
    stage = Stage(showing.stage) if showing else None
    planned = showing.place if showing else None
    if stage is Stage.READY:
        goal = planned
    elif stage is Stage.REHOUSING:
        goal = thing.normal_location
    elif stage in _WHY:
        goal = bench
    else:
        goal = None
    reason = _WHY.get(stage, "") if stage else ""
    if stage is Stage.REHOUSING and showing and showing.loan_id:
        reason = "return-to-lender"
    if goal is not None and goal.pk == thing.current_location_id:
        goal, reason = None, ""
    likely = dict.fromkeys((thing.current_location, planned, bench, thing.normal_location))
    return WayOn(goal, reason, tuple(place for place in likely if place is not None))


def _bench_of(thing: MuseumObject) -> Place | None:
    """The bench this object was last brought to; else the museum's only one."""
    last = (
        Movement.objects.filter(
            lines__museum_object=thing, to_place__kind=PlaceKind.BENCH, to_place__closed_on=None
        )
        .select_related("to_place")
        .order_by("-pk")
        .first()
    )
    if last is not None:
        return last.to_place
    benches = Place.objects.filter(kind=PlaceKind.BENCH, closed_on=None).order_by("pk")[:2]
    return benches[0] if len(benches) == 1 else None


@dataclass(frozen=True, slots=True)
class DayOn:
    """The day one would plan next for a showing: what, when, from which face to which."""

    kind: AppointmentKind
    day: date | None
    from_face: Face | None
    to_face: Face | None


def day_on(showing: Showing, today: date, asked: AppointmentKind | None = None) -> DayOn:
    """Propose the next planned day of a showing, of the kind that was asked for if any.

    An object that is up is turned to the next face of its plan, or taken down the day after its
    last; one that is not is installed with its first face. A day that is past is not proposed.
    """
    up = (
        DisplayPeriod.objects.filter(showing=showing, closed_at=None, struck_at=None)
        .select_related("face")
        .first()
    )
    plan = list(
        FaceWanted.objects.filter(showing=showing, struck=False)
        .select_related("face")
        .order_by("order", "pk")
    )
    shown = up.face if up else None
    at = next((n for n, row in enumerate(plan) if row.face == shown), -1)
    following = plan[at + 1] if at + 1 < len(plan) else None
    if asked is not None:
        kind = asked
    elif shown is None:
        kind = AppointmentKind.INSTALL
    else:
        kind = AppointmentKind.TURN if following else AppointmentKind.DEINSTALL
    day: date | None = None
    coming: Face | None = None
    if kind is AppointmentKind.INSTALL:
        show, coming = showing.exhibition, plan[0].face if plan else None
        day = unplanned_install(
            wanted=showing.show_from, opens=show.opens, install_from=show.install_from
        )
    elif kind is AppointmentKind.TURN and following is not None:
        day, coming = following.from_on, following.face
    elif kind is AppointmentKind.DEINSTALL:
        day = showing.show_to + timedelta(days=1)
    return DayOn(
        kind=kind,
        day=day if day is not None and day >= today else None,
        from_face=None if kind is AppointmentKind.INSTALL else shown,
        to_face=coming,
    )
