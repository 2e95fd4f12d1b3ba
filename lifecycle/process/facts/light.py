"""What the light account answers about the faces of a showing. Units: lx, lx·h, days."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceLight:
    """The account of one face against what this showing asks of it.

    ``missing`` says in words what keeps the account from answering (no class, no timetable, no
    lux); while it says anything, the figures are not to be trusted and are None.
    ``left`` [lx·h] is what the allowance still holds before this showing; ``planned`` [lx·h] is
    what this showing would spend. ``ceiling`` [lx] and ``uv_ceiling`` [µW/lm] bind at the case.
    ``last_day`` is the last day this face may stay; ``days_in_hand`` counts from the planned end.
    """

    face_id: int
    missing: tuple[str, ...] = ()
    left: Decimal | None = None
    planned: Decimal | None = None
    ceiling: Decimal | None = None
    uv_ceiling: Decimal | None = None
    resting_until: date | None = None
    last_day: date | None = None
    days_in_hand: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchFacts:
    """What is due while the object is on display, once for the place it lies in."""

    place: str = ""
    place_uid: str = ""
    last_reading: str = ""
    reading_due: date | None = None
    last_look: str = ""
    look_due: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlagFacts:
    """A look that flagged something and has no answer yet."""

    uid: str
    act_now: bool
    flagged_on: date
    answer_due: date
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowingLight:
    """Everything about light of one showing; a face without a line has no answer."""

    faces: tuple[FaceLight, ...] = ()
    watch: WatchFacts = WatchFacts()
    flags: tuple[FlagFacts, ...] = ()

    def of(self, face_id: int) -> FaceLight | None:
        return next((line for line in self.faces if line.face_id == face_id), None)
