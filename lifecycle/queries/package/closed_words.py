"""What each word of a closed list means: read from ``closed_words.csv`` beside this file.

A list is known by one of the columns that use it; every column with the same words shares it.
Lists whose words carry their meaning in the process are defined there and nowhere else.
"""

import csv
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.apps import apps

from lifecycle.process.bench_cautions import Basis, Brings, Trait
from lifecycle.process.ink import InkLevel
from lifecycle.process.switches import SWITCHED
from lifecycle.process.words import Grade

FILE: Final = Path(__file__).with_name("closed_words.csv")
#: Definitions that stand in the process itself.
OF_THE_PROCESS: Final = (
    {grade.value: grade.means for grade in Grade},
    {switch.value: row.why for switch, row in SWITCHED.items()},
    {trait.value: trait.means for trait in Trait},
    {one.value: one.means for one in Brings},
    {basis.value: basis.label for basis in Basis},
    {str(level.value): level.seen for level in InkLevel},
)
Codes = frozenset[str]


@cache
def closed_lists() -> Mapping[Codes, Mapping[str, str]]:
    """Return the definitions by code, for each list of codes.

    :raises LookupError: for a column that no table has
    """
    by_column: dict[str, dict[str, str]] = {}
    with FILE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            by_column.setdefault(row["column"], {})[row["code"]] = row["definition"]
    found = {_codes(column): means for column, means in by_column.items()}
    return {**found, **{frozenset(means): means for means in OF_THE_PROCESS}}


def _codes(column: str) -> Codes:
    model, _, name = column.partition(".")
    field: Any = apps.get_model("records", model)._meta.get_field(name)
    return frozenset(str(code) for code, _ in field.choices if code not in (None, ""))


def meanings_of(codes: Iterable[str]) -> Mapping[str, str]:
    """Return what each of these codes means; empty for a list that is not described."""
    return closed_lists().get(frozenset(codes), {})
