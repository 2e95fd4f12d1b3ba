"""The unit of every number, in words; a number without one is counted or numbered."""

from typing import Final

#: By the end of a column's name.
BY_ENDING: Final = {
    "_mm": "millimetres",
    "_g": "grams",
    "_kg": "kilograms",
    "_lx_h": "lux hours",
    "_c": "degrees Celsius",
    "_percent": "percent",
    "_months": "months",
    "_weeks": "weeks",
    "_years": "years",
    "_days": "days",
    "_hours": "hours",
    "_seconds": "seconds",
    "_bytes": "bytes",
    "_deg": "degrees",
    "_angle": "degrees",
    "_ppi": "pixels per inch",
}
#: By the column's own name.
BY_NAME: Final = {
    "a_star": "on the CIELAB scale from green to red",
    "across": "percent of the drawing's width, from the left",
    "angle_idea": "degrees",
    "b_star": "on the CIELAB scale from blue to yellow",
    "bit_depth": "bits per channel",
    "box_left": "percent of the picture's width, from the left",
    "box_top": "percent of the picture's height, from the top",
    "box_width": "percent of the picture's width",
    "box_height": "percent of the picture's height",
    "buffer_target_rh": "percent relative humidity",
    "case_rh": "percent relative humidity",
    "ceiling_lux": "lux",
    "ceiling_uv": "microwatt per lumen",
    "clock_position": "o'clock, seen from the front",
    "concentration": "percent",
    "correction_factor": "times the shown value",
    "days": "days",
    **{f"edge_{side}": "pixels" for side in ("left", "top", "right", "bottom")},
    **{f"ruler_{end}": "pixels" for end in ("x1", "y1", "x2", "y2")},
    "down": "percent of the drawing's height, from the top",
    "direction_clock": "o'clock, seen from the front",
    "flash_lux_s": "lux seconds",
    "flashes": "flashes",
    "height": "pixels",
    "hours": "hours",
    "hours_est": "hours",
    "interval_minutes": "minutes",
    "l_star": "on the CIELAB scale from black 0 to white 100",
    "last_lux": "lux",
    "lower_x": "pixels of the lower picture, from the left",
    "lower_y": "pixels of the lower picture, from the top",
    "letter_hour": "hour of the day",
    "limit_lux": "lux",
    "limit_minutes": "minutes",
    "lit_lux": "lux",
    "lit_minutes": "minutes",
    "lux": "lux",
    "lux_after": "lux",
    "lux_ceiling": "lux",
    "lux_hours": "lux hours",
    "magnification": "times",
    "max_lux": "lux",
    "max_uv": "microwatt per lumen",
    "minutes": "minutes",
    "open_minutes": "minutes",
    "pages": "pages",
    "power_w": "watts",
    "rh": "percent relative humidity",
    "rh_after": "percent relative humidity",
    "rh_before": "percent relative humidity",
    "rh_change_1h": "percent relative humidity, within 1 hour",
    "rh_change_24h": "percent relative humidity, within 24 hours",
    "rh_max": "percent relative humidity",
    "rh_min": "percent relative humidity",
    "shown_lux": "lux",
    "stated_repeatability": "CIEDE2000",
    "uv": "microwatt per lumen",
    "uv_after": "microwatt per lumen",
    "uv_ceiling": "microwatt per lumen",
    "weight_g": "grams",
    "upper_x": "pixels of the upper picture, from the left",
    "upper_y": "pixels of the upper picture, from the top",
    "width": "pixels",
}
#: Numbers that count or put in order: they have no unit.
COUNTED: Final = frozenset(
    {
        "count", "edition", "insects", "last", "left_out", "nth", "number", "order",
        "people", "people_needed", "record_version",
        "revision", "circumstances_revision", "conclusions_revision", "rules_version",
        "trap_count", "version", "alternatives", "ink_not_shown_from", "ink_sign_off_from",
    }
)  # fmt: skip
#: Numbers whose unit stands in the same row, in its own column.
UNIT_BESIDE: Final = {"Requirement.low": "unit", "Requirement.high": "unit"}
BESIDE: Final = "as the column ‘unit’ says"
#: Numbers that stand for a word.
WEEKDAYS: Final = (
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday",
)  # fmt: skip


def unit_of(model: str, column: str) -> str:
    """Return the unit of a column of numbers in words; empty for one that only counts."""
    if f"{model}.{column}" in UNIT_BESIDE:
        return BESIDE
    if column in BY_NAME:
        return BY_NAME[column]
    # The longest ending decides: ``_lx_h`` before ``_h``.
    for ending in sorted(BY_ENDING, key=len, reverse=True):
        if column.endswith(ending):
            return BY_ENDING[ending]
    return ""


def is_told(model: str, column: str) -> bool:
    """Whether a column of numbers has a unit here, or is known to have none."""
    return column in COUNTED or unit_of(model, column) != ""
