"""Reads ``demo_fixtures/``: readable YAML whose dates move with the day of loading."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final

import yaml

FOLDER: Final = Path(__file__).resolve().parents[2] / "demo_fixtures"
FRAME: Final = date(2026, 6, 10)
"""The Wednesday on which the fixtures are written as if they were loaded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoData:
    """The fixtures with every date moved by the same whole number of weeks."""

    shift: timedelta
    people: Mapping[str, Any]
    places: Mapping[str, Any]
    rules: Mapping[str, Any]
    objects: list[Mapping[str, Any]]
    materials: Mapping[str, Mapping[str, Any]]
    exhibitions: Mapping[str, Any]
    findings: Mapping[str, list[Mapping[str, Any]]]
    ink: Mapping[str, list[Mapping[str, Any]]]
    colour: Mapping[str, list[Mapping[str, Any]]]


def weeks_to(on: date) -> timedelta:
    """Whole weeks from the frame's week to the week of ``on``: weekdays keep their meaning."""
    monday, frame = (day - timedelta(days=day.weekday()) for day in (on, FRAME))
    return monday - frame


def moved(value: Any, shift: timedelta) -> Any:
    """Move every date inside nested lists and mappings."""
    if isinstance(value, date):
        return value + shift
    if isinstance(value, dict):
        return {key: moved(part, shift) for key, part in value.items()}
    if isinstance(value, list):
        return [moved(part, shift) for part in value]
    return value


def demo_password() -> str:
    """The password that all demo people share, asked again when they sign."""
    people = yaml.safe_load((FOLDER / "people.yaml").read_text(encoding="utf-8"))
    return str(people["password"])


def read_demo(on: date) -> DemoData:
    """Read all files, with dates moved so that the frame's week is the week of ``on``."""
    shift = weeks_to(on)
    read = {
        path.stem: moved(yaml.safe_load(path.read_text(encoding="utf-8")), shift)
        for path in sorted(FOLDER.glob("*.yaml"))
    }
    return DemoData(
        shift=shift,
        people=read["people"],
        places=read["places"],
        rules=read["rules"],
        objects=[one for row in read["objects"]["objects"] for one in _each(row)],
        materials=read["materials"]["materials"],
        exhibitions=read["exhibitions"],
        findings=read["findings"],
        ink=read["measured"]["ink"],
        colour=read["measured"]["colour"],
    )


def _each(row: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Spell a series (twelve plates, nine prints) out into single objects."""
    series = row.get("series")
    if series is None:
        return [row]
    plain = {key: value for key, value in row.items() if key != "series"}
    return [
        _numbered({**plain, "number": series["number"], "title": series["title"]}, number)
        for number in range(1, series["count"] + 1)
    ]


def _numbered(value: Any, number: int) -> Any:
    if isinstance(value, str):
        return value.replace("{n}", str(number))
    if isinstance(value, dict):
        written = {key: _numbered(part, number) for key, part in value.items()}
        return {**written, "drawn_number": number} if "draw" in written else written
    if isinstance(value, list):
        return [_numbered(part, number) for part in value]
    return value
