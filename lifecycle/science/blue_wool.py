"""A dose read against the eight blue wool references: how many just noticeable steps of fading.

Source: the table of doses for a just noticeable fade (about grey-scale step 4) that is commonly
quoted after Michalski 1987 and 1997 and repeated in CIE 157:2004; here from memory, checked
against no text. Another source (Michalski 1990, as a materials encyclopedia cites it) gives 0.4
for ISO 1 and 900 for ISO 8 without UV where this table has 0.3 and 1,100; batches of the cloth
differ too. So every figure is good to a factor of about two, and is never given without its band.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

UV_REMOVED_UP_TO: Final = 10
"""[µW/lm] At most this much UV, and the column 'UV removed' is read."""
FACTOR: Final = 2


class Column(StrEnum):
    """Which column of the table is read."""

    UV_REMOVED = "uv_removed"
    UV_PRESENT = "uv_present"

    @property
    def label(self) -> str:
        return "UV removed" if self is Column.UV_REMOVED else "UV present (daylight through glass)"


NOTICEABLE: Final = MappingProxyType(
    {
        1: {Column.UV_PRESENT: 220_000, Column.UV_REMOVED: 300_000},
        2: {Column.UV_PRESENT: 600_000, Column.UV_REMOVED: 1_000_000},
        3: {Column.UV_PRESENT: 1_500_000, Column.UV_REMOVED: 3_000_000},
        4: {Column.UV_PRESENT: 3_500_000, Column.UV_REMOVED: 10_000_000},
        5: {Column.UV_PRESENT: 8_000_000, Column.UV_REMOVED: 30_000_000},
        6: {Column.UV_PRESENT: 20_000_000, Column.UV_REMOVED: 100_000_000},
        7: {Column.UV_PRESENT: 50_000_000, Column.UV_REMOVED: 300_000_000},
        8: {Column.UV_PRESENT: 120_000_000, Column.UV_REMOVED: 1_100_000_000},
    }
)
"""Dose of a just noticeable fade [lx·h] by blue wool number and column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Just noticeable steps a dose comes to, at least, about and at most; one dose for all three.

    ``dose`` and ``one_step`` are in lx·h.
    """

    dose: float
    blue_wool: int
    column: Column
    one_step: int
    low: float
    likely: float
    high: float

    @property
    def because(self) -> str:
        return (
            f"{self.dose:,.0f} lx·h against {self.one_step:,} lx·h for one just noticeable step of "
            f"blue wool {self.blue_wool}, column “{self.column.label}”; good to a factor of "
            f"about {FACTOR}."
        )


def column_for(uv: float | None) -> Column:
    """Return the column to read by the recorded UV [µW/lm]; not recorded counts as present.

    :raises ValueError: for a negative value
    """
    if uv is not None and uv < 0:
        raise ValueError(f"UV cannot be negative: {uv} µW/lm.")
    return Column.UV_REMOVED if uv is not None and uv <= UV_REMOVED_UP_TO else Column.UV_PRESENT


def steps_of(dose: float, blue_wool: int, uv: float | None) -> Steps:
    """Return how many just noticeable steps a dose [lx·h] comes to, with its factor-two band.

    :param blue_wool: 1 (fades first) to 8
    :param uv: recorded UV [µW/lm]; None when it was never measured
    :raises ValueError: for a negative dose or UV, or a number that is no blue wool reference
    """
    if dose < 0:
        raise ValueError(f"A dose cannot be negative: {dose} lx·h.")
    if blue_wool not in NOTICEABLE:
        raise ValueError(f"Blue wool references are numbered 1 to 8, not {blue_wool}.")
    column = column_for(uv)
    one_step = NOTICEABLE[blue_wool][column]
    likely = dose / one_step
    return Steps(
        dose=dose,
        blue_wool=blue_wool,
        column=column,
        one_step=one_step,
        low=likely / FACTOR,
        likely=likely,
        high=likely * FACTOR,
    )
