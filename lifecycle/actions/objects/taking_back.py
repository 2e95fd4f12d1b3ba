"""Take a table back: what was before it stands again, except where somebody has built on it."""

import uuid
from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from django.db import models, transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.bringing_in import table_deed
from lifecycle.actions.objects.writing_cards import Hand
from lifecycle.actions.objects.writing_in import NotOurs, asker_of, note, reason_of
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work import rows
from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.process.stages import Role
from lifecycle.queries.changes import in_words
from lifecycle.queries.table_traces import (
    BESIDE,
    ObjectTraces,
    Trace,
    hanging_on,
    traces_of,
    words_of,
)
from lifecycle.records.base import Kept
from lifecycle.records.keeping import take_out_all
from lifecycle.records.models import Face, MuseumObject, Person
from lifecycle.records.models.work import Work, WorkKind, WorkState

_WORDS = ("materials", "techniques")


@transaction.atomic
def ask_to_take_back(*, by: Person, role: Role, at: datetime, uid: uuid.UUID) -> Work:
    """Ask the worker to take a table back; once for each table, again only after a stop."""
    allow(by=by, role=role, deed=table_deed(role), at=at)
    table = Work.objects.select_for_update().get(uid=uid, kind=WorkKind.IMPORT_OBJECTS)
    if table.state not in (WorkState.DONE, WorkState.STOPPED, WorkState.FAILED):
        raise Refused("This table is not in yet: stop it first, or wait until it is.")
    before = Work.objects.filter(kind=WorkKind.TAKE_BACK_IMPORT, key__startswith=_stem(table))
    if before.filter(state=WorkState.DONE).exists():
        raise Refused("This table was taken back already.")
    if before.filter(state__in=rows.OPEN).exists():
        raise Refused("This table is being taken back already.")
    return rows.ask(
        kind=WorkKind.TAKE_BACK_IMPORT,
        key=f"{_stem(table)}{before.count() + 1}",
        by=by,
        at=at,
        inputs={"table": str(table.uid), "name": table.inputs["name"], "role": role.value},
    )


def _stem(table: Work) -> str:
    return f"take-back/{table.uid}/"


def take_back_piece(*, work: Work, keys: Sequence[int], total: int, at: datetime) -> bool:
    """Take back what a table wrote of these objects, in one transaction; False means: stop now."""
    try:
        with transaction.atomic():
            return _take_back(work, keys, total, at)
    except NotOurs:
        return False


def _take_back(work: Work, keys: Sequence[int], total: int, at: datetime) -> bool:
    by, role = asker_of(work), Role(work.inputs["role"])
    allow(by=by, role=role, deed=table_deed(role), at=at)
    table = Work.objects.get(uid=work.inputs["table"])
    list(MuseumObject.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    why = f"Taken back: {reason_of(table)}"[:100]
    piece = _Piece(traces_of(reason_of(table), keys), Hand(by=by, role=role, at=at, why=why))
    piece.take_back()
    done = work.done + len(keys)
    results = dict(work.results)
    for name, count in piece.counted.items():
        results[name] = results.get(name, 0) + count
    results["left"] = [*results.get("left", []), *piece.left]
    said = f"{done} of {counted(total, 'object')}"
    return note(work=work, done=done, total=total, said=said, at=at, results=results)


class _Piece:
    """Some objects of a table, each taken back as far as nobody has built on it."""

    def __init__(self, objects: Sequence[ObjectTraces], hand: Hand) -> None:
        self.objects, self.hand = objects, hand
        self.counted: dict[str, int] = defaultdict(int)
        self.left: list[list[str]] = []
        self.numbers = dict(
            MuseumObject.objects.filter(pk__in=[one.key for one in objects]).values_list(
                "pk", "object_number"
            )
        )

    def take_back(self) -> None:
        new = [one for one in self.objects if one.own is not None and one.own.made]
        self._take_out_objects(new)
        others = [one for one in self.objects if one.own is None or not one.own.made]
        self._take_out_rows([trace for one in others for trace in one.beside if trace.made])
        self._set_back(
            [
                trace
                for one in others
                for trace in (*([one.own] if one.own else []), *one.beside)
                if not trace.made
            ]
        )

    def _leave(self, key: int, why: str) -> None:
        self.left.append([self.numbers.get(key, ""), why])

    def _take_out_objects(self, objects: Sequence[ObjectTraces]) -> None:
        """Objects the table made go whole, with what it wrote beside them, or stay whole."""
        objects = [one for one in objects if one.key in self.numbers]
        keys = [one.key for one in objects]
        ours: dict[type[models.Model], set[int]] = {
            model: {t.key for one in objects for t in one.beside if t.model is model}
            for model in BESIDE
        }
        hangs = hanging_on(MuseumObject, keys, besides=ours)
        on_faces = hanging_on(Face, sorted(ours[Face]), besides={})
        out: list[ObjectTraces] = []
        for one in objects:
            mine = [trace for trace in (one.own, *one.beside) if trace is not None]
            since = next((trace for trace in mine if trace.touched_since), None)
            face = next((on_faces[t.key] for t in one.beside if t.key in on_faces), None)
            if one.key in hangs or face:
                self._leave(one.key, f"Stays: a {hangs.get(one.key) or face} hangs on it.")
            elif since is not None:
                self._leave(one.key, f"Stays: it was changed since {_by(since)}.")
            else:
                out.append(one)
        for model in BESIDE:
            self._out([t.row for one in out for t in one.beside if t.model is model])
        self._out([one.own.row for one in out if one.own is not None])
        self.counted["taken_out"] += len(out)

    def _out(self, found: Sequence[Kept]) -> None:
        hand = self.hand
        take_out_all(found, by=hand.by, role=hand.role, why=hand.why, at=hand.at)

    def _take_out_rows(self, traces: Sequence[Trace]) -> None:
        """Faces, sizes, hazards … that the table added to objects there were."""
        traces = [trace for trace in traces if trace.row is not None]
        for model in BESIDE:
            mine = [trace for trace in traces if trace.model is model]
            hangs = hanging_on(model, [trace.key for trace in mine], besides={}) if mine else {}
            out = []
            for trace in mine:
                what = f"{model._meta.verbose_name} “{trace.row}”"
                if trace.key in hangs:
                    self._leave(
                        trace.object_key, f"The {what} stays: a {hangs[trace.key]} needs it."
                    )
                elif trace.touched_since:
                    self._leave(
                        trace.object_key, f"The {what} stays: it was changed since {_by(trace)}."
                    )
                else:
                    out.append(trace)
            self._out([trace.row for trace in out])
            self.counted["set_back"] += len(out)

    def _set_back(self, traces: Sequence[Trace]) -> None:
        for model in (MuseumObject, *BESIDE):
            mine = [t for t in traces if t.model is model and t.row is not None]
            rows_back: list[Any] = []
            fields: set[str] = set()
            for trace in mine:
                back = list(self._cells_back(trace))
                fields.update(back)
                if back:
                    rows_back.append(trace.row)
            if model is MuseumObject:
                self._objects_back(mine, rows_back, sorted(fields))
            else:
                self.hand.keep(rows_back, fields=sorted(fields))
            self.counted["set_back"] += len(rows_back)

    def _cells_back(self, trace: Trace) -> Iterator[str]:
        """Set back each column the table changed and nobody has changed since."""
        for field in type(trace.entry).tracked_fields:
            name = field.attname
            old, written = getattr(trace.before, name), getattr(trace.entry, name)
            if old == written:
                continue
            if getattr(trace.row, name) != written:
                self._leave(
                    trace.object_key,
                    f"{str(field.verbose_name).capitalize()} stays “{_said(trace.row, field)}”: "
                    f"it was changed since {_by(trace)}.",
                )
                continue
            setattr(trace.row, name, old)
            yield field.name

    def _objects_back(
        self, traces: Sequence[Trace], rows_back: list[Any], fields: Sequence[str]
    ) -> None:
        """Columns of the card itself, and its lists of words."""
        words = {
            name: words_of([e for t in traces for e in (t.before, t.entry, t.last)], name)
            for name in _WORDS
        }
        wanted: dict[int, dict[str, frozenset[int]]] = {}
        for trace in traces:
            sets = {}
            for name in _WORDS:
                old = words[name][trace.before.history_id]
                written = words[name][trace.entry.history_id]
                now = words[name][trace.last.history_id]
                sets[name] = now
                if old != written and now != written:
                    self._leave(
                        trace.object_key,
                        f"{name.capitalize()} stay: they were changed since {_by(trace)}.",
                    )
                elif old != written:
                    sets[name] = old
                    wanted[trace.key] = sets
            if trace.key in wanted:
                wanted[trace.key] = sets
        worded = [trace.row for trace in traces if trace.key in wanted]
        self.hand.keep(
            worded,
            fields=fields,
            words={name: [sorted(wanted[row.pk][name]) for row in worded] for name in _WORDS},
        )
        self.hand.keep([row for row in rows_back if row.pk not in wanted], fields=fields)
        self.counted["set_back"] += len([row for row in worded if row not in rows_back])


def _said(row: Any, field: Any) -> str:
    display = getattr(row, f"get_{field.name}_display", None)
    return in_words(display() if display else getattr(row, field.name))


def _by(trace: Trace) -> str:
    person = trace.last.history_user
    day = day_words(trace.last.history_date)
    return f"by {person.full_name} on {day}" if person else f"on {day}"
