"""The object in its place: install check, turns and swaps, taking down."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum


class OnShow(StrEnum):
    """What a planned day in the gallery is for."""

    INSTALL = "install"
    TURN = "turn"
    SWAP = "swap"
    TAKE_DOWN = "take_down"


@dataclass(frozen=True, slots=True, kw_only=True)
class InstallCheckFacts:
    """One check at the position, for the first display or when the object is shown again.

    ``lux`` [lx] and ``uv`` [µW/lm] as read with the lamps in show state.
    """

    uid: str
    signed_by: tuple[str, ...] = ()
    """Full names of those who signed; the check needs two."""

    face_id: int | None = None
    right_way_up: bool = False
    photographed: bool = False
    mount_fits: bool = False
    lux: Decimal | None = None
    uv: Decimal | None = None
    courier_present: bool = False
    caption_right: bool = False
    facsimile_right: bool = False
    at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AppointmentFacts:
    """A planned day: who does what where, and the last day on which it may be done."""

    uid: str
    kind: OnShow
    day: date
    people: tuple[str, ...] = ()
    people_ids: frozenset[int] = frozenset()
    last_day: date | None = None
    to_face_id: int | None = None
    to_face: str = ""
    swap_for: str = ""
    """Object number that takes the place, for a swap."""

    done: bool = False
    occurrence: str = ""
    """Which turn of the showing this is; stays when the day moves."""

    reason: str = ""
    """Why this day, as it was written when it was planned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeDownFacts:
    """What was written when the object was taken down."""

    uid: str
    lamps_off_at: datetime | None = None
    last_lux: Decimal | None = None
    reading_impossible: str = ""
    """Why no last reading could be made, in words."""

    early: bool = False
    reason: str = ""
    told_curator: bool = False
    told_lender: bool = False
    emergency: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayFacts:
    face_shown: int | None = None
    """The face of the open display period; None while nothing of the object is shown."""

    shown_since: datetime | None = None
    ever_shown: bool = False
    position: str = ""
    position_taken_by: str = ""
    """Another object's number that lies in the planned position now."""

    install: InstallCheckFacts | None = None
    show_again: InstallCheckFacts | None = None
    """The check made after the last start of a rotation, if one was made."""

    appointments: tuple[AppointmentFacts, ...] = ()
    take_down: TakeDownFacts | None = None

    def next_turn(self) -> AppointmentFacts | None:
        """Return the earliest turn or swap that is planned and not done."""
        open_ones = [
            a for a in self.appointments if a.kind in (OnShow.TURN, OnShow.SWAP) and not a.done
        ]
        return min(open_ones, key=lambda a: (a.day, a.uid), default=None)

    def planned(self, kind: OnShow) -> AppointmentFacts | None:
        open_ones = [a for a in self.appointments if a.kind is kind and not a.done]
        return min(open_ones, key=lambda a: (a.day, a.uid), default=None)
