"""Inputs as plain data and back: an answer stored with them comes out the same years later.

A field that came later has a default that means what was meant before it came; data stored without
it take the default.
"""

import types
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def as_data(value: Any) -> Any:
    """Return frozen dataclasses, tuples, dates and enums as what JSON can hold."""
    if is_dataclass(value) and not isinstance(value, type):
        return {row.name: as_data(getattr(value, row.name)) for row in fields(value)}
    if isinstance(value, tuple | list):
        return [as_data(row) for row in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    if value is None or isinstance(value, str | int):
        return value
    raise TypeError(f"{type(value).__name__} is not a kind of input that can be kept.")


def from_data(kind: type[T], data: Any) -> T:
    """Return the dataclass that ``as_data`` was given.

    :raises TypeError, KeyError, ValueError: if the data do not fit ``kind``
    """
    built: T = _read(kind, data)
    return built


def _read(kind: Any, data: Any) -> Any:
    origin = get_origin(kind)
    if origin in (types.UnionType, Union):
        if data is None:
            return None
        (inner,) = (row for row in get_args(kind) if row is not type(None))
        return _read(inner, data)
    if origin is tuple:
        inner = get_args(kind)[0]
        return tuple(_read(inner, row) for row in data)
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        known = {
            row.name: _read(hints[row.name], data[row.name])
            for row in fields(kind)
            if row.name in data or row.default is MISSING
        }
        return kind(**known)  # type: ignore[operator]
    if kind is datetime:
        return datetime.fromisoformat(data)
    if kind is date:
        return date.fromisoformat(data)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(data)
    if kind in (int, str, bool) and type(data) is kind:
        return data
    raise TypeError(f"{data!r} is not a {kind}.")
