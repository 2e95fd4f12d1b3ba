"""The demo museum's light, as the stories state it, and small makers for these tests."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from lifecycle.planning.exposure import Stay
from lifecycle.planning.ledger import ClassLimits, FaceInputs
from lifecycle.planning.levels import LightChange, Position, Reading
from lifecycle.planning.lit_hours import LampState, Purpose, Timetable, WeeklySpan
from lifecycle.planning.quantities import level_of

LONDON = ZoneInfo("Europe/London")
OPENS, CLOSES = date(2026, 3, 14), date(2026, 9, 6)

NORTH_GALLERY = Timetable(
    name="North Gallery lamps",
    spans=(
        WeeklySpan(weekday=0, purpose=Purpose.CLEANING, starts=9 * 60, ends=12 * 60),
        *(
            WeeklySpan(weekday=day, purpose=Purpose.CLEANING, starts=9 * 60, ends=10 * 60)
            for day in range(1, 7)
        ),
        *(
            WeeklySpan(weekday=day, purpose=Purpose.PUBLIC, starts=10 * 60, ends=17 * 60)
            for day in range(1, 7)
        ),
    ),
)
HIGH = ClassLimits(
    version=3,
    label="High",
    max_lux=50,
    allowance_lx_h=75_000,
    window_years=5,
    rest_months=36,
    max_uv=10,
)


def every_day(starts: int, ends: int, purpose: Purpose = Purpose.PUBLIC) -> Timetable:
    """A timetable with the same span, in minutes after midnight, on every day of the week."""
    return Timetable(
        name="daily",
        spans=tuple(
            WeeklySpan(weekday=day, purpose=purpose, starts=starts, ends=ends) for day in range(7)
        ),
    )


def at(*when: int, zone: ZoneInfo = LONDON) -> datetime:
    return datetime(*when, tzinfo=zone)  # type: ignore[arg-type, misc]


def reading(lux: float, *when: int, state: LampState = LampState.SHOW) -> Reading:
    return Reading(at=at(*when), level=level_of(Decimal(str(lux))), state=state)


def event(*when: int) -> LightChange:
    return LightChange(first=at(*when), last=at(*when))


def place(*readings: Reading, events: tuple[LightChange, ...] = (), **values: Any) -> Position:
    values.setdefault("timetable", NORTH_GALLERY)
    return Position(ref="N2a", label="case N2, a", readings=readings, events=events, **values)


def face(moment: datetime, *stays: Stay, **values: Any) -> FaceInputs:
    values.setdefault("limits", HIGH)
    values.setdefault("zone", "Europe/London")
    return FaceInputs(face="plate 5", at=moment, stays=stays, **values)
