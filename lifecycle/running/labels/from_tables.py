"""Labels of closed lists, of moves, gates and rights, and of the columns of every table."""

import pkgutil
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import is_dataclass
from enum import Enum
from importlib import import_module
from types import ModuleType
from typing import Any, Final

from django.apps import apps

import lifecycle
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import Deed
from lifecycle.process.waivers import WAIVABLE
from lifecycle.running.labels.label import Kind, Label, says_something, tidy

#: Floors that this one may import, and that hold closed lists or tables of words.
FLOORS: Final = ("science", "planning", "process", "records", "queries", "papers", "actions")


def modules() -> Iterator[ModuleType]:
    """Yield every module of those floors."""
    for floor in FLOORS:
        package = import_module(f"{lifecycle.__name__}.{floor}")
        yield package
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".migrations." not in found.name:
                yield import_module(found.name)


def closed_lists() -> list[type[Enum]]:
    """Return every closed list of ours, by name."""
    found = {
        value
        for module in modules()
        for value in vars(module).values()
        if isinstance(value, type)
        and issubclass(value, Enum)
        and value.__module__.startswith(f"{lifecycle.__name__}.")
    }
    return sorted(found, key=lambda one: (one.__module__, one.__qualname__))


def label_of(member: Enum) -> str:
    """Return the word people read for a member of a closed list."""
    return tidy(str(getattr(member, "label", str(member.value).replace("_", " "))))


def _where(thing: type) -> str:
    return thing.__module__.replace(".", "/") + ".py"


def _rows(value: Any) -> Iterable[Any]:
    if isinstance(value, Mapping):
        return value.values()
    if isinstance(value, tuple | list | frozenset):
        return value
    return (value,)


def labelled_rows() -> Iterator[Label]:
    """Yield the labels of rows of the process that are data: gates of readiness, carryings ..."""
    for module in modules():
        for value in vars(module).values():
            for row in _rows(value):
                if is_dataclass(row) and not isinstance(row, type):
                    text = getattr(row, "label", None)
                    if isinstance(text, str) and says_something(text):
                        yield Label(Kind.COLUMN, tidy(text), _where(type(row)))


def columns() -> Iterator[Label]:
    """Yield the name of every table and of every column, as the reading room shows them."""
    for model in apps.get_app_config("records").get_models():
        if model.__name__.startswith("Historical"):
            continue
        yield Label(Kind.HEADING, tidy(str(model._meta.verbose_name)), _where(model))
        for field in model._meta.get_fields():
            name = getattr(field, "verbose_name", "")
            if name:
                yield Label(Kind.COLUMN, tidy(str(name)), _where(model))


def labels_of_tables() -> Iterator[Label]:
    """Yield stages, states and options, moves, waivers, rights and columns."""
    for words in closed_lists():
        kind = Kind.RIGHT if words is Deed else Kind.OPTION
        for member in words:
            if says_something(label_of(member)):
                yield Label(kind, label_of(member), _where(words))
    for move in MOVES.values() if isinstance(MOVES, Mapping) else MOVES:
        yield Label(Kind.MOVE, move.label, _where(type(move)))
    for code in WAIVABLE:
        yield Label(Kind.OPTION, code, "lifecycle/process/waivers.py")
    yield from labelled_rows()
    yield from columns()
