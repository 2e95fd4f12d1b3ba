"""Logs of light at a place: those that stand, what they came to, what looks wrong of a new one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from lifecycle.planning.lit_hours import LampState, curve_of
from lifecycle.planning.logged import clock_doubt, highest_lux, unit_doubt
from lifecycle.planning.quantities import whole_lx_h
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.oddness import usual_at
from lifecycle.queries.light.places import PlaceBook, as_logged, standing_logs
from lifecycle.records.models import LightLog, Place

MOST_LOGS: Final = 24


def logs_between(
    place: Place, since: datetime, until: datetime, at: datetime
) -> Sequence[LightLog]:
    """Return the logs of a place that speak for some of a span and are not taken back."""
    return list(standing_logs([place.pk], at).filter(until_at__gt=since, from_at__lt=until))


def doubts_of(levels: Sequence[tuple[int, int]], place: Place, at: datetime) -> list[str]:
    """Return the questions a new series is asked once: of its unit, and of its clock."""
    usual = usual_at(place, at, LampState.SHOW)
    known = usual.last if usual.last is not None else usual.ceiling
    doubts = [unit_doubt(levels, None if known is None else Decimal(known))]
    table = PlaceBook(at).timetable(place.pk)
    if table is not None:
        doubts.append(clock_doubt(levels, curve_of(table, museum_zone())))
    return [doubt for doubt in doubts if doubt]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """One log as a page shows it: dose [lx·h], brightest [lx], hours with and without data."""

    log: LightLog
    lx_h: int
    highest: str
    hours: float
    gap_hours: float
    gaps: int


def log_line(row: LightLog) -> LogLine:
    series = as_logged(row)
    first, last = series.minutes[0], series.minutes[-1]
    known = series.known_minutes(first, last)
    return LogLine(
        log=row,
        lx_h=whole_lx_h(series.total),
        highest=f"{highest_lux(series.samples):f}",
        hours=known / 60,
        gap_hours=(last - first - known) / 60,
        gaps=len(series.gaps),
    )


def logs_at(place: Place) -> list[LogLine]:
    """Return the newest logs of a place, those taken back too; one query."""
    rows = LightLog.objects.filter(place=place).select_related(
        "instrument", "entered_by", "point", "taken_back__by"
    )
    return [log_line(row) for row in rows.order_by("-from_at", "-pk")[:MOST_LOGS]]
