"""Words to JSON and back, and words as plain text for the digest at the foot of a paper."""

import dataclasses
import types
import typing
from typing import Any, TypeVar

T = TypeVar("T")


def later(default: T) -> T:
    """A field that words stored before it was added do not have.

    While it has its default it is not stored, so that the digest of an older print stays the same.
    """
    return dataclasses.field(default=default, metadata={"later": True})


def _came_later(field: "dataclasses.Field[Any]") -> bool:
    return bool(field.metadata.get("later"))


class WordsFault(ValueError):
    """Stored words do not have the shape their paper needs."""


def to_data(words: object) -> Any:
    """Plain lists, dicts, texts and numbers, ready for JSON."""
    if dataclasses.is_dataclass(words) and not isinstance(words, type):
        return {
            field.name: to_data(getattr(words, field.name))
            for field in dataclasses.fields(words)
            if not (_came_later(field) and getattr(words, field.name) == field.default)
        }
    if isinstance(words, tuple):
        return [to_data(one) for one in words]
    if words is None or isinstance(words, str | int | float | bool):
        return words
    raise WordsFault(f"A paper cannot store a {type(words).__name__}.")


def from_data(kind: type[T], data: Any) -> T:
    """The words that `to_data` was given. Errors: WordsFault when something is missing."""
    try:
        return typing.cast(T, _read(kind, data))
    except (KeyError, TypeError) as fault:
        raise WordsFault(f"Stored words of a {kind.__name__} are incomplete: {fault}.") from fault


def _read(kind: Any, data: Any) -> Any:
    origin = typing.get_origin(kind)
    if origin in (types.UnionType, typing.Union):
        if data is None:
            return None
        return _read(next(one for one in typing.get_args(kind) if one is not type(None)), data)
    if origin is tuple:
        inner = typing.get_args(kind)
        if inner[-1] is Ellipsis:
            return tuple(_read(inner[0], one) for one in data)
        return tuple(_read(one, value) for one, value in zip(inner, data, strict=True))
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        hints = typing.get_type_hints(kind)
        return kind(
            **{
                field.name: _read(hints[field.name], data[field.name])
                for field in dataclasses.fields(kind)
                if field.name in data or not _came_later(field)
            }
        )
    if kind is float and isinstance(data, int):
        return float(data)
    if not isinstance(data, kind):
        raise TypeError(f"{data!r} is not {kind.__name__}")
    return data


def plain_text(words: object) -> str:
    """Every word of a paper in a fixed order, one `name: value` a line, for digest and compare."""
    return "\n".join(_plain("", to_data(words))) + "\n"


def _plain(name: str, data: Any) -> list[str]:
    if isinstance(data, dict):
        return [line for key, value in data.items() for line in _plain(_join(name, key), value)]
    if isinstance(data, list):
        return [
            line
            for number, value in enumerate(data, start=1)
            for line in _plain(_join(name, str(number)), value)
        ]
    text = "" if data is None else str(data)
    return [f"{name}: {' '.join(text.split())}"]


def _join(name: str, part: str) -> str:
    part = part.replace("_", " ")
    return f"{name}, {part}" if name else part


def texts(words: object) -> list[tuple[str, str]]:
    """Every text with the name of the field it stands in, to find what cannot be printed."""
    return _texts("", to_data(words))


def _texts(name: str, data: Any) -> list[tuple[str, str]]:
    if isinstance(data, dict):
        return [pair for key, value in data.items() for pair in _texts(key, value)]
    if isinstance(data, list):
        return [pair for value in data for pair in _texts(name, value)]
    return [(name.replace("_", " "), data)] if isinstance(data, str) else []


def differences(printed: object, now: object) -> list[tuple[str, str, str]]:
    """Lines of the plain text that differ: (what, as printed, as it stands now)."""
    before = dict(line.split(": ", 1) for line in plain_text(printed).splitlines())
    after = dict(line.split(": ", 1) for line in plain_text(now).splitlines())
    return [
        (name, before.get(name, ""), after.get(name, ""))
        for name in dict.fromkeys([*before, *after])
        if before.get(name, "") != after.get(name, "")
    ]
