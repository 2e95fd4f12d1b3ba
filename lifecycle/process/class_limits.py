"""The limits of one sensitivity class, stated once for published sets and for versions."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The figures of one class; units in the names, the window in years, the rest in months."""

    max_lux: int
    allowance_lx_h: int
    window_years: int
    rest_months: int
    max_showing_weeks: int | None
    max_uv: int | None
    reading_every_days: int
    look_every_days: int
    turn_needed_above_percent: int
    never_show: bool
    source: str
