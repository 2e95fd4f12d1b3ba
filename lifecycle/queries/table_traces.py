"""What one table wrote, read from the history: every row's entry, the one before, and the last."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, cast

from django.db import models

from lifecycle.records.base import Kept
from lifecycle.records.models import (
    Component,
    Face,
    Measure,
    MuseumObject,
    ObjectHazard,
    OtherNumber,
)

#: What belongs to an object and is written from a table with it.
BESIDE: Final[tuple[type[Kept], ...]] = (OtherNumber, Measure, Component, ObjectHazard, Face)


def _history(model: type[models.Model]) -> Any:
    return cast(Any, model).history.model.objects


@dataclass(slots=True)
class Trace:
    """One row a table wrote: its entry, the entry before (none when it was new), the last one."""

    model: type[Kept]
    key: int
    object_key: int
    entry: Any
    before: Any
    last: Any
    row: Any = None

    @property
    def made(self) -> bool:
        return bool(self.entry.history_type == "+")

    @property
    def touched_since(self) -> bool:
        return bool(self.last.history_id != self.entry.history_id)


@dataclass(slots=True)
class ObjectTraces:
    """All a table wrote of one object."""

    key: int
    own: Trace | None = None
    beside: list[Trace] = field(default_factory=list)


def objects_written(reason: str) -> list[int]:
    """Return the keys of the objects of which a table wrote anything, in order; six queries."""
    keys = set(
        _history(MuseumObject).filter(history_change_reason=reason).values_list("id", flat=True)
    )
    for model in BESIDE:
        rows = _history(model).filter(history_change_reason=reason)
        keys.update(rows.values_list("museum_object_id", flat=True))
    return sorted(keys)


def traces_of(reason: str, keys: Sequence[int]) -> list[ObjectTraces]:
    """Return what a table wrote of these objects; a fixed number of queries."""
    found = {key: ObjectTraces(key) for key in keys}
    for trace in _traces(MuseumObject, reason, {"id__in": keys}):
        found[trace.key].own = trace
    for model in BESIDE:
        for trace in _traces(model, reason, {"museum_object_id__in": keys}):
            found[trace.object_key].beside.append(trace)
    return list(found.values())


def _traces(model: type[Kept], reason: str, of: dict[str, Any]) -> list[Trace]:
    entries = list(_history(model).filter(history_change_reason=reason, **of))
    keys = [entry.id for entry in entries]
    course: dict[int, list[Any]] = defaultdict(list)
    for entry in _history(model).filter(id__in=keys).order_by("history_id"):
        course[entry.id].append(entry)
    rows = {row.pk: row for row in cast(Any, model).objects.filter(pk__in=keys)}
    found = []
    for entry in entries:
        earlier = [one for one in course[entry.id] if one.history_id < entry.history_id]
        found.append(
            Trace(
                model=model,
                key=entry.id,
                object_key=getattr(entry, "museum_object_id", entry.id),
                entry=entry,
                before=earlier[-1] if earlier else None,
                last=course[entry.id][-1],
                row=rows.get(entry.id),
            )
        )
    return found


def words_of(entries: Iterable[Any], name: str) -> dict[int, frozenset[int]]:
    """The words that history entries of objects held, by entry."""
    entries = [entry for entry in entries if entry is not None]
    found: dict[int, set[int]] = {entry.history_id: set() for entry in entries}
    beside: Any = getattr(cast(Any, MuseumObject).history.model, name).model
    rows = beside.objects.filter(history__in=list(found))
    for history, word in rows.values_list("history_id", "word_id"):
        found[history].add(word)
    return {key: frozenset(words) for key, words in found.items()}


def hanging_on(
    model: type[Kept], keys: Sequence[int], *, besides: dict[type[models.Model], set[int]]
) -> dict[int, str]:
    """For rows of a table, what else points at them, in a word; rows nothing points at are absent.

    :param besides: rows that go with them and do not count, by table
    """
    found: dict[int, str] = {}
    own = {field.remote_field.through for field in model._meta.many_to_many}
    for relation in model._meta.get_fields(include_hidden=True):
        other: Any = relation.related_model
        if not relation.auto_created or relation.concrete or relation.many_to_many:
            continue
        if other in own or hasattr(other, "instance_type"):
            continue  # links of its own, and histories, which stay
        column = cast(Any, relation).field.name
        rows: models.QuerySet[Any] = models.QuerySet(model=other).filter(**{f"{column}__in": keys})
        for key, pk in rows.values_list(column, "pk"):
            if pk not in besides.get(other, set()):
                found.setdefault(key, str(other._meta.verbose_name))
    return found
