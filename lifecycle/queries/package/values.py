"""The value of a column of a row, in words for a page, plain for a table, whole for a machine."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from lifecycle.queries.package.columns import Column
from lifecycle.queries.package.naming import Name, Names
from lifecycle.queries.package.units import BESIDE
from lifecycle.queries.signed_text.lines import day_in_words, moment_in_words, number_in_words


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of a page: label, words, and what those words mean or where more stands."""

    label: str
    words: str
    beside: tuple[str, ...] = ()


def look_up_names(names: Names, columns: Sequence[Column], rows: Sequence[Any]) -> None:
    """Read what the rows name, one query for each column; many-to-many must be prefetched."""
    for column in columns:
        if column.target is None:
            continue
        if column.many:
            keys = [one.pk for row in rows for one in getattr(row, column.name).all()]
        else:
            keys = [getattr(row, column.key) for row in rows]
        names.look_up(column.target, keys)


def named(column: Column, row: Any, names: Names) -> list[Name]:
    """Return what a column names; nothing when it is empty."""
    if column.target is None:
        return []
    if column.many:
        found = [names.of(column.target, one.pk) for one in getattr(row, column.name).all()]
        return sorted(found, key=lambda name: name.text)
    key = getattr(row, column.key)
    return [] if key is None else [names.of(column.target, key)]


def coded(column: Column, value: Any) -> str:
    """Return the word for a code, or for each code of a list of them."""
    if isinstance(value, list):
        return ", ".join(coded(column, one) for one in value)
    return column.words.get(str(value), str(value))


def fact_of(column: Column, row: Any, names: Names) -> Fact | None:
    """Return a column of a row as a line of a page; None when nothing is stated."""
    if column.target is not None:
        found = named(column, row, names)
        if not found:
            return None
        beside = [f"{name.text}: {name.means}" for name in found if name.means]
        beside += [f"see {name.file}" for name in found if name.file]
        return Fact(column.label, "; ".join(name.text for name in found), tuple(beside))
    value = getattr(row, column.name)
    if value in (None, "", [], {}):
        return None
    if column.words:
        return Fact(column.label, coded(column, value), _meaning(column, value))
    return Fact(column.label, in_words(value, "" if column.unit == BESIDE else column.unit))


def _meaning(column: Column, value: Any) -> tuple[str, ...]:
    means = column.means.get(str(value), "")
    return (f"{coded(column, value)}: {means}",) if means else ()


def in_words(value: Any, unit: str = "") -> str:
    """Return a value as a reader wants it: days and moments written out, numbers with units."""
    match value:
        case bool():
            return "yes" if value else "no"
        case datetime():
            return moment_in_words(value)
        case date():
            return day_in_words(value)
        case time():
            return f"{value:%H:%M}"
        case Decimal() | int() | float():
            return f"{number_in_words(value)} {unit}".rstrip()
        case dict() | list():
            return "\n".join(_lines_of(value))
    return str(value)


def _lines_of(value: Any, name: str = "") -> Iterable[str]:
    """A value of several parts, one a line: ``inputs, left: 12``."""
    if isinstance(value, dict):
        for key, one in value.items():
            said = str(key).replace("_", " ")
            yield from _lines_of(one, f"{name}, {said}" if name else said)
    elif isinstance(value, list):
        for number, one in enumerate(value, start=1):
            yield from _lines_of(one, f"{name}, {number}" if name else str(number))
    else:
        text = "not stated" if value in (None, "") else in_words(value)
        yield f"{name}: {text}" if name else text


def plain(column: Column, row: Any, names: Names) -> str:
    """Return a column of a row for a table: ISO 8601 moments, numbers alone, words for codes."""
    if column.target is not None:
        return "; ".join(name.text for name in named(column, row, names))
    value = getattr(row, column.name)
    if value in (None, ""):
        return ""
    if column.words:
        return coded(column, value)
    return plain_value(value)


def plain_value(value: Any) -> str:
    match value:
        case bool():
            return "yes" if value else "no"
        case datetime():
            return f"{value.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
        case date():
            return value.isoformat()
        case time():
            return f"{value:%H:%M}"
        case Decimal() | int() | float():
            return number_in_words(value)
        case dict() | list():
            return json.dumps(value, ensure_ascii=False, sort_keys=True)
    return str(value)


_ASIS: Final = (bool, int, str, dict, list)


def stored(column: Column, row: Any, names: Names) -> Any:
    """Return a column of a row as it is kept, for a machine: codes as codes, marks for records."""
    if column.many:
        return [name.mark for name in named(column, row, names)]
    if column.target is not None:
        found = named(column, row, names)
        return found[0].mark if found else None
    value = getattr(row, column.name)
    if value is None or isinstance(value, _ASIS):
        return value
    return str(value) if isinstance(value, UUID | Decimal | float) else plain_value(value)
