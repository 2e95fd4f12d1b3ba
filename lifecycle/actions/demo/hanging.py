"""A demo object on display: installed by two, read, looked at, its turn planned."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.demo.carrying import carry
from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.preparing import faces_of
from lifecycle.actions.display.appointments import Plan, plan_appointment
from lifecycle.actions.display.installing import Seen, install
from lifecycle.actions.display.photos import Photo
from lifecycle.actions.display.reading import MeterSays
from lifecycle.actions.light import take_reading
from lifecycle.actions.looks import record_look
from lifecycle.exchange.demo_pictures import drawn
from lifecycle.planning.turn_days import why_this_day
from lifecycle.process.words import LookVerdict
from lifecycle.queries.light.turning import Wish, turn_days_of
from lifecycle.records.models import Face, MuseumObject, Person, Place, Showing
from lifecycle.records.models.display.install import ArrivalCompared, Fitted
from lifecycle.records.models.display.rotation import AppointmentKind

UV = Decimal(8)


def position_of(showing: Showing) -> Place:
    if showing.place is None:
        raise ValueError(f"{showing} has no position.")
    return showing.place


def put_up(cast: Cast, showing: Showing, at: datetime, lux: int) -> None:
    """Carried to its case, then installed by conservator and technician as planned."""
    place = position_of(showing)
    carry(cast, showing, place, "install", at, receiver="marit")
    closed = at + timedelta(minutes=70)
    face = faces_of(showing)[0]
    name, number = cast.drawings[face.pk]
    loan = showing.loan
    courier: Person | None = None
    if loan is not None and loan.courier_at_install:
        courier = cast.people["lev"]
    install(
        one=cast.hand("marit"),
        other=cast.hand("bram"),
        at=closed,
        showing=showing,
        face=face,
        place=place,
        seen=Seen(
            matches_tag=True,
            arrival=ArrivalCompared.SAME,
            face_right=True,
            way_up_right=True,
            mount_fits=True,
            caption=Fitted.RIGHT,
            facsimile=Fitted.RIGHT if len(faces_of(showing)) > 1 else Fitted.NOT_NEEDED,
            photo=Photo(data=drawn(name, number), name=f"{showing.museum_object} as placed.jpg"),
            meter=MeterSays(
                lux=Decimal(lux),
                uv=UV,
                point=place.reading_points.first(),
                meter=cast.instruments["luxmeter"],
            ),
            case_rh=Decimal(49),
            case_t_c=Decimal("19.5"),
            courier=courier,
        ),
        observed_at=closed - timedelta(minutes=5),
        as_planned=True,
    )


def read_along(cast: Cast, showing: Showing, days: list[date], lux: int) -> None:
    """Lux at the object's own point on each of the days."""
    place = position_of(showing)
    for day in days:
        at = cast.moment(day, 11, 20)
        take_reading(
            place=place,
            point=place.reading_points.first(),
            lux=Decimal(lux),
            uv=UV,
            read_at=at,
            instrument=cast.instruments["luxmeter"],
            showing=showing,
            **cast.acting("marit", at),
        )


def look_along(
    cast: Cast, showing: Showing, days: list[date], notes: Mapping[date, str] | None = None
) -> None:
    """The walker looks at the object through the glass; a noted day asks to look again."""
    thing: MuseumObject = showing.museum_object
    face: Face = faces_of(showing)[0]
    for day in days:
        at = cast.moment(day, 9, 45)
        note = (notes or {}).get(day, "")
        record_look(
            museum_object=thing,
            place=position_of(showing),
            showing=showing,
            face=face,
            verdict=LookVerdict.LOOK_AGAIN if note else LookVerdict.AS_PICTURE,
            looked_at=at,
            note=note,
            **cast.acting("gil", at),
        )


def plan(
    cast: Cast, showing: Showing, kind: AppointmentKind, day: date, at: datetime, **more: Any
) -> None:
    plan_appointment(
        showing=showing,
        plan=Plan(
            kind=kind,
            day=day,
            place=position_of(showing),
            person_1=cast.people["marit"],
            person_2=cast.people["bram"],
            **more,
        ),
        **cast.acting("josephine", at),
    )


def plan_turn(cast: Cast, showing: Showing, day: date, at: datetime) -> None:
    first, second = faces_of(showing)[:2]
    answer = turn_days_of(showing, at, Wish()).answer
    even = "" if answer is None else why_this_day(answer, day)
    plan(
        cast,
        showing,
        AppointmentKind.TURN,
        day,
        at,
        from_face=first,
        to_face=second,
        reason=even,
    )
