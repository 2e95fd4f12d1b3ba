"""Starting sequences of steps: what most laboratories do again and again, with where it comes from.

They are common practice and no advice: figures are a beginning that each laboratory changes, and no
usual result is told, since what came of a step is written when it was seen.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Final

START: Final = Path(__file__).parent / "start" / "step_sequences.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingStep:
    """One step by its code. Strength in percent, minutes, hours, temperature in °C."""

    step: str
    material_name: str
    material_kind: str
    concentration: Decimal | None
    amount: str
    minutes: Decimal | None
    temperature_c: Decimal | None
    hours: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingSequence:
    """One sequence: what it is for, where it comes from, its steps in order."""

    code: str
    name: str
    used_for: str
    source: str
    steps: tuple[StartingStep, ...]

    @property
    def words(self) -> str:
        """What it is for, with its source, as the sequence keeps it."""
        return f"{self.used_for}\nSource: {self.source}"


def _figure(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def _step(row: Mapping[str, str]) -> StartingStep:
    return StartingStep(
        step=row["step"],
        material_name=row["material_name"],
        material_kind=row["material_kind"],
        concentration=_figure(row["concentration"]),
        amount=row["amount"],
        minutes=_figure(row["minutes"]),
        temperature_c=_figure(row["temperature_c"]),
        hours=Decimal(row["hours"]),
    )


def starting_sequences() -> dict[str, StartingSequence]:
    """Read the sequences, by code, in the order of the file; the first row of each names it."""
    rows: dict[str, list[Mapping[str, str]]] = {}
    with START.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            rows.setdefault(row["sequence"], []).append(row)
    return {
        code: StartingSequence(
            code=code,
            name=said[0]["name"],
            used_for=said[0]["used_for"],
            source=said[0]["source"],
            steps=tuple(_step(row) for row in said),
        )
        for code, said in rows.items()
    }
