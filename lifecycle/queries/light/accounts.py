"""Light accounts of faces, how long they rest, and when they may be shown next."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from lifecycle.planning.account import Account, Line, Missing, Resting
from lifecycle.planning.account import account_of as reckon
from lifecycle.planning.account import resting_of as rest_of
from lifecycle.planning.again import Asked, Booking, NextAllowed, next_allowed
from lifecycle.planning.exposure import Part
from lifecycle.planning.keeping import as_data
from lifecycle.planning.ledger import FaceInputs
from lifecycle.planning.levels import Position
from lifecycle.planning.moments import moment_of
from lifecycle.planning.quantities import LEVELS_PER_LX, Band, level_of, lux_of
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import DisplayPeriod, Exhibition, Face, Place, Showing


@dataclass(frozen=True, slots=True)
class LuxHours:
    """A dose three times [lx·h], rounded to whole lux hours: at least, probably, at most."""

    low: int = 0
    likely: int = 0
    high: int = 0

    @classmethod
    def of(cls, band: Band) -> "LuxHours":
        return cls(*band.lx_h)

    @property
    def spread(self) -> bool:
        return self.low != self.high

    def __str__(self) -> str:
        if not self.spread:
            return f"{self.likely:,} lx·h"
        return f"{self.likely:,} lx·h ({self.low:,} to {self.high:,})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One stretch of a display in words: from, to, what light, how many hours, what it came to."""

    since: datetime
    until: datetime
    lux: str
    hours: str
    dose: str
    basis: str
    assumed: bool


def stretch_of(part: Part, zone: ZoneInfo) -> Stretch:
    low, high = lux_of(part.level.low), lux_of(part.level.high)
    lux = f"{lux_of(part.level.likely).normalize():f} lx"
    if low != high:
        lux += f" ({low.normalize():f} to {high.normalize():f} lx)"
    return Stretch(
        since=moment_of(part.start, zone),
        until=moment_of(part.end, zone),
        lux=lux,
        hours=f"{part.lit_minutes / 60:,.2f}".rstrip("0").rstrip("."),
        dose=str(LuxHours.of(part.dose)),
        basis=part.basis.label,
        assumed=part.assumed,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceAccount:
    """The account of one face at one moment, in lux hours; ``account`` holds every detail."""

    face: Face
    account: Account
    allowance: int | None
    spent: LuxHours
    booked: LuxHours
    left: LuxHours | None
    lifetime: LuxHours

    @property
    def window_from(self) -> date | None:
        return self.account.window_from

    @property
    def window_to(self) -> date:
        return self.account.window_to

    @property
    def lines(self) -> tuple[Line, ...]:
        return self.account.lines

    @property
    def entries(self) -> list[tuple[Line, list[Stretch]]]:
        """Each entry with its stretches in words."""
        zone = self.account.inputs.clock
        return [
            (line, [stretch_of(part, zone) for part in line.parts]) for line in self.account.lines
        ]

    @property
    def missing(self) -> tuple[Missing, ...]:
        return self.account.missing

    @property
    def resting(self) -> Resting:
        return self.account.resting

    @property
    def up_now(self) -> bool:
        """Whether the face is on display at the moment of the account."""
        inputs = self.account.inputs
        return any(stay.until is None and stay.since <= inputs.at for stay in inputs.stays)

    @property
    def resting_until(self) -> date | None:
        """The day on which the face is free again, while it rests; a face that is up does not."""
        free = None if self.up_now else self.account.resting.free_from
        return free if free is not None and free > self.account.window_to else None

    @property
    def free_from(self) -> date | None:
        return self.account.resting.free_from

    @property
    def because(self) -> str:
        return self.account.because

    @property
    def rules_version(self) -> int | None:
        return self.account.rules_version

    @property
    def inputs(self) -> dict[str, Any]:
        """Everything the account was computed from, as data that reproduces it."""
        data: dict[str, Any] = as_data(self.account.inputs)
        return data

    @property
    def spent_percent(self) -> int:
        """Share of the allowance that is spent, in whole percent, never above 100."""
        if not self.allowance:
            return 0
        return min(100, round(100 * self.spent.likely / self.allowance))

    @property
    def booked_percent(self) -> int:
        if not self.allowance:
            return 0
        return min(100 - self.spent_percent, round(100 * self.booked.likely / self.allowance))


@dataclass(frozen=True, slots=True, kw_only=True)
class RestingAnswer:
    """Until when a face rests, with the inputs that reproduce the answer."""

    face: Face
    resting: Resting
    inputs: FaceInputs

    @property
    def free_from(self) -> date | None:
        return self.resting.free_from

    @property
    def because(self) -> str:
        return self.resting.because

    def as_json(self) -> dict[str, Any]:
        return {
            "last_lit_on": _iso(self.resting.last_lit_on),
            "rest_ends_on": _iso(self.resting.rest_ends_on),
            "resting_until": _iso(self.resting.free_from),
            "because": self.resting.because,
            "inputs": as_data(self.inputs),
        }


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def face_account(gathered: Gathered, face: Face) -> FaceAccount:
    account = reckon(gathered.inputs(face))
    limits = account.inputs.limits
    return FaceAccount(
        face=gathered.faces[face.pk],
        account=account,
        allowance=None if limits is None else limits.allowance_lx_h,
        spent=LuxHours.of(account.spent),
        booked=LuxHours.of(account.booked),
        left=None if account.left is None else LuxHours.of(account.left),
        lifetime=LuxHours.of(account.lifetime),
    )


def accounts_of(faces: Iterable[Face], at: datetime) -> dict[int, FaceAccount]:
    """Return the account of each face at ``at``, by primary key, in a fixed number of queries."""
    rows = list(faces)
    gathered = Gathered(rows, at)
    return {face.pk: face_account(gathered, face) for face in rows}


def account_of(face: Face, at: datetime) -> FaceAccount:
    """Return the account of one face at ``at``."""
    return accounts_of([face], at)[face.pk]


def resting_of(faces: Iterable[Face], at: datetime) -> dict[int, RestingAnswer]:
    """Return until when each face rests, by primary key, in a fixed number of queries."""
    rows = list(faces)
    gathered = Gathered(rows, at)
    answers = {}
    for face in rows:
        inputs = gathered.inputs(face)
        answers[face.pk] = RestingAnswer(
            face=gathered.faces[face.pk], resting=rest_of(inputs), inputs=inputs
        )
    return answers


def rest_of_showing(showing: Showing, at: datetime) -> list[RestingAnswer]:
    """Return until when each face that this showing put into the light rests, as of ``at``."""
    shown = DisplayPeriod.objects.filter(showing=showing, struck_at=None).values("face")
    faces = list(Face.objects.filter(pk__in=shown).order_by("order", "pk"))
    resting = resting_of(faces, at) if faces else {}
    return [resting[face.pk] for face in faces]


@dataclass(frozen=True, slots=True, kw_only=True)
class RestKept:
    """One face's rest as it was kept when the file was closed; ``free_from`` None: none asked."""

    label: str
    free_from: date | None
    because: str


def rest_kept(showing: Showing) -> list[RestKept]:
    """Return what was kept with a closed file; nothing before that."""
    return [
        RestKept(
            label=row["face"],
            free_from=date.fromisoformat(row["resting_until"]) if row["resting_until"] else None,
            because=row["because"],
        )
        for row in (showing.resting_until or {}).get("faces", [])
    ]


def next_allowed_for(
    face: Face,
    *,
    first_day: date,
    days: int,
    place: Place | None,
    lux: Decimal | int | None,
    at: datetime,
    exhibition: Exhibition | None = None,
) -> NextAllowed:
    """Return when a span of ``days`` days may start for one face, and what binds.

    :param place: where it would hang; without one the exhibition's timetable is taken
    :param lux: planned illuminance [lx]; without one the highest the house rule allows
    """
    gathered = Gathered([face], at)
    if place is not None:
        gathered.book.read_light([place.pk])
    position = position_asked(gathered, exhibition, place)
    return next_allowed_in(
        gathered, face, first_day=first_day, days=days, position=position, lux=lux
    )


def position_asked(
    gathered: Gathered, exhibition: Exhibition | None, place: Place | None = None
) -> Position:
    """Return where a face would hang; without a place, anywhere under the exhibition's lamps."""
    otherwise = None
    if exhibition is not None:
        rooms = exhibition.places.order_by("pk").values_list("timetable", flat=True)
        found = exhibition.timetable_id, *rooms
        otherwise = next((pk for pk in found if pk is not None), None)
    position = gathered.book.position(None if place is None else place.pk, otherwise)
    if place is None and exhibition is not None:
        position = Position(
            ref=str(exhibition.uid), label=exhibition.title, timetable=position.timetable
        )
    return position


def next_allowed_in(
    gathered: Gathered,
    face: Face,
    *,
    first_day: date,
    days: int,
    position: Position,
    lux: Decimal | int | None = None,
) -> NextAllowed:
    """Return when a span may start for one of the gathered faces, without a query of its own."""
    inputs = gathered.inputs(face)
    level = None if lux is None else level_of(Decimal(lux))
    if level is None:
        level = 0 if inputs.limits is None else inputs.limits.max_lux * LEVELS_PER_LX
    asked = Asked(
        position=_without_light(position),
        first=first_day,
        days=days,
        level=level,
        bookings=bookings(gathered, gathered.faces[face.pk], leave_out=None),
        pending=never_shown(gathered.faces[face.pk]),
    )
    return next_allowed(inputs, asked)


def never_shown(face: Face) -> tuple[str, ...]:
    """Return why a face is never shown, as what stands against every day; empty when it may be."""
    if not face.never_show:
        return ()
    return (f"{face.label} is never shown: {face.never_show_reason}.",)


def _without_light(position: Position) -> Position:
    """Planned light needs no readings: leave them out of what is stored with the answer."""
    return Position(ref=position.ref, label=position.label, timetable=position.timetable)


def bookings(gathered: Gathered, face: Face, *, leave_out: int | None) -> tuple[Booking, ...]:
    """Return when the object is promised elsewhere, the house's travel days counted in."""
    travel = timedelta(0 if gathered.rules is None else gathered.rules.travel_days)
    return tuple(
        Booking(
            first=showing.show_from - travel,
            last=showing.show_to + travel,
            label=showing.exhibition.title,
        )
        for showing in promised(gathered, face, leave_out=leave_out)
    )


def promised(gathered: Gathered, face: Face, *, leave_out: int | None) -> Sequence[Showing]:
    return [
        showing
        for showing in gathered.showings.values()
        if showing.museum_object_id == face.museum_object_id
        and showing.pk != leave_out
        and gathered.is_accepted(showing)
    ]
