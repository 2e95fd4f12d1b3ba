"""Builders for places with lamps and meters, and for what is read there."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from lifecycle.actions.light import take_reading
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LitPurpose, PlaceKind
from lifecycle.records.models import (
    DisplayPeriod,
    Exhibition,
    Face,
    FaceWanted,
    Instrument,
    LightReading,
    LitSpan,
    LitTimetable,
    Person,
    Place,
    ReadingPoint,
    Showing,
)
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.light import InstrumentKind
from lifecycle.records.models.places import TimetableSource
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_face,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.display import Crew, put_at

_numbers = count(1)


def make_timetable(name: str = "") -> LitTimetable:
    """The demo museum's lamps: Tue-Sun 8 h lit of which 7 public, Monday 3 h."""
    table = LitTimetable(
        name=name or f"Lamps {next(_numbers)}", source=TimetableSource.TIMETABLE
    ).keep(**kept_by())
    spans = [(0, LitPurpose.CLEANING, 9, 12)]
    for weekday in range(1, 7):
        spans += [(weekday, LitPurpose.CLEANING, 9, 10), (weekday, LitPurpose.PUBLIC, 10, 17)]
    for weekday, purpose, starts, ends in spans:
        LitSpan(
            timetable=table,
            weekday=weekday,
            purpose=purpose,
            starts=time(starts),
            ends=time(ends),
        ).keep(**kept_by())
    return table


def make_case(timetable: LitTimetable | None = None, **values: Any) -> Place:
    """A case in a lit room of its own."""
    room = make_place(kind=PlaceKind.ROOM, public=True, timetable=timetable or make_timetable())
    return make_place(kind=PlaceKind.CASE, parent=room, public=True, **values)


def make_point(place: Place, letter: str = "A") -> ReadingPoint:
    return ReadingPoint(place=place, letter=letter, label="front rail, facing up").keep(**kept_by())


def make_meter(**values: Any) -> Instrument:
    values.setdefault("kind", InstrumentKind.LUX_AND_UV)
    values.setdefault("name", "Lux meter")
    values.setdefault("serial", f"LM-{next(_numbers):04d}")
    values.setdefault("calibrated_on", date(2026, 1, 12))
    values.setdefault("calibration_due", date(2027, 1, 12))
    return Instrument(**values).keep(**kept_by())


def hang(
    face: Face,
    place: Place,
    *,
    opened_at: datetime,
    closed_at: datetime | None = None,
    showing: Showing | None = None,
    exhibition: Exhibition | None = None,
) -> DisplayPeriod:
    """A display period as an install leaves it; the stage is left alone (no move is made here)."""
    if showing is None:
        more = {} if exhibition is None else {"exhibition": exhibition}
        showing = make_showing(museum_object=face.museum_object, place=place, **more)
    return DisplayPeriod(
        showing=showing,
        museum_object=face.museum_object,
        face=face,
        place=place,
        opened_by=PeriodOpening.INSTALL,
        opened_at=opened_at,
        closed_at=closed_at,
    ).keep(**kept_by())


def want(showing: Showing, face: Face, order: int = 1, **values: Any) -> FaceWanted:
    values.setdefault("from_on", showing.show_from)
    values.setdefault("until_on", showing.show_to)
    return FaceWanted(showing=showing, face=face, order=order, **values).keep(**kept_by())


def read_light(
    place: Place, lux: str, read_at: datetime, *, by: Person | None = None, **values: Any
) -> LightReading:
    """A reading by a conservator with a sound meter, entered when it was made."""
    values.setdefault("instrument", make_meter())
    values.setdefault("point", None)
    values.setdefault("at", read_at + timedelta(minutes=1))
    return take_reading(
        by=by or make_person(Role.CONSERVATOR),
        role=Role.CONSERVATOR,
        place=place,
        lux=Decimal(lux),
        read_at=read_at,
        sure=True,
        **values,
    )


def shown_since_march(crew: Crew, **values: Any) -> Showing:
    """One face on display since 14 March 2026 under 48 lx, read each month until May.

    Its exhibition closes on 6 September and has a manager of its own.
    """
    case, face = make_case(), make_face()
    for month in range(3, 6):
        read_light(case, "48", datetime(2026, month, 14, tzinfo=UTC), by=crew.conservator)
    if "exhibition" not in values:
        values["exhibition"] = make_exhibition(manager=make_person(Role.EXHIBITION_MANAGER))
    opened = datetime(2026, 3, 14, tzinfo=UTC)
    period = hang(face, make_place(parent=case), opened_at=opened, **values)
    want(period.showing, face)
    return put_at(period.showing, Stage.ON_DISPLAY)
