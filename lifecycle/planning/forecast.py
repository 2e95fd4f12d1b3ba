"""What a plan would charge: lux × lit hours over a span, with public hours beside it."""

from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from lifecycle.planning.day_words import day_words
from lifecycle.planning.lit_hours import Timetable, curve_of
from lifecycle.planning.moments import day_start
from lifecycle.planning.quantities import lux_of, whole_lx_h


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """A planned span at one level [half deci-lux]; minutes are lit minutes, doses are units."""

    timetable: Timetable
    first: date
    last: date
    level: int
    lit_minutes: int
    public_minutes: int
    dose: int
    by_public_hours: int
    because: str

    @property
    def dose_lx_h(self) -> int:
        return whole_lx_h(self.dose)


def forecast(timetable: Timetable, zone: ZoneInfo, first: date, last: date, level: int) -> Forecast:
    """Return what whole local days from ``first`` to ``last``, both included, would charge.

    :param level: planned illuminance [half deci-lux], 20 are 1 lx
    :raises ValueError: if the span ends before it starts or the level is negative
    """
    if last < first:
        raise ValueError(
            f"The span ends on {day_words(last)}, before it starts on {day_words(first)}."
        )
    if level < 0:
        raise ValueError("Illuminance cannot be negative.")
    since, until = day_start(first, zone), day_start(last + timedelta(1), zone)
    curve = curve_of(timetable, zone)
    lit, public = curve.lit_minutes(since, until), curve.public_minutes(since, until)
    weight = level * timetable.cover_percent
    dose, by_public = lit * weight, public * weight
    because = (
        f"{lit / 60:,.4g} lit hours at {lux_of(level).normalize():f} lx"
        f"{_cover(timetable.cover_percent)} from {day_words(first)} to {day_words(last)} "
        f"({timetable.name}); public hours alone would have shown {whole_lx_h(by_public):,} lx·h."
    )
    return Forecast(
        timetable=timetable,
        first=first,
        last=last,
        level=level,
        lit_minutes=lit,
        public_minutes=public,
        dose=dose,
        by_public_hours=by_public,
        because=because,
    )


def _cover(percent: int) -> str:
    return "" if percent == 100 else f" × {percent} % cover"
