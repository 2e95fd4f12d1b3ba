"""Starting sets of house rules: published figures to choose from, and two sizes of a house.

They disagree with each other, so none is the default: the museum chooses, edits and approves.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from lifecycle.process.class_limits import Limits

RULES: Final = Path(__file__).parent / "start" / "rules"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingLimits(Limits):
    """One class of a published set with its figures."""

    class_code: str
    class_label: str
    definition: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSet:
    """One published set: limits of its classes and where they come from."""

    code: str
    label: str
    source: str
    limits: tuple[StartingLimits, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseSize:
    """A house of one size: gates left out, days of the readiness, a setting or two.

    ``why`` says for each gate why it is on or off; ``settings`` are whole numbers by field name.
    """

    code: str
    label: str
    lead: str
    off: frozenset[str]
    why: Mapping[str, str]
    days: Mapping[str, int]
    settings: Mapping[str, int]


def _figure(text: str) -> int | None:
    return int(text) if text else None


def _limits(row: Mapping[str, str]) -> StartingLimits:
    return StartingLimits(
        class_code=row["class_code"],
        class_label=row["class_label"],
        definition=row["definition"],
        max_lux=int(row["max_lux"]),
        allowance_lx_h=int(row["allowance_lx_h"]),
        window_years=int(row["window_years"]),
        rest_months=int(row["rest_months"]),
        max_showing_weeks=_figure(row["max_showing_weeks"]),
        max_uv=_figure(row["max_uv"]),
        reading_every_days=int(row["reading_every_days"]),
        look_every_days=int(row["look_every_days"]),
        turn_needed_above_percent=int(row["turn_needed_above_percent"]),
        never_show=row["never_show"] == "yes",
        source=row["source"],
    )


def figure_sets() -> dict[str, FigureSet]:
    """Read the published sets, by code, in the order of the file."""
    found: dict[str, FigureSet] = {}
    with (RULES / "figures.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            before = found.get(row["set"])
            found[row["set"]] = FigureSet(
                code=row["set"],
                label=row["set_label"],
                source=row["set_source"],
                limits=(*(before.limits if before else ()), _limits(row)),
            )
    return found


def house_sizes() -> dict[str, HouseSize]:
    """Read the sizes of a house, by code, in the order of the file."""
    rows: dict[str, list[Mapping[str, str]]] = {}
    with (RULES / "sizes.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            rows.setdefault(row["size"], []).append(row)
    return {code: _size(code, said) for code, said in rows.items()}


def _size(code: str, rows: list[Mapping[str, str]]) -> HouseSize:
    head = next(row for row in rows if row["kind"] == "label")
    gates = [row for row in rows if row["kind"] == "gate"]
    return HouseSize(
        code=code,
        label=head["value"],
        lead=head["why"],
        off=frozenset(row["name"] for row in gates if row["value"] == "off"),
        why={row["name"]: row["why"] for row in gates},
        days={row["name"]: int(row["value"]) for row in rows if row["kind"] == "days"},
        settings={row["name"]: int(row["value"]) for row in rows if row["kind"] == "setting"},
    )
