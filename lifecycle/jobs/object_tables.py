"""Tables of objects in the worker: read the kept file, then one piece after another."""

from collections.abc import Callable
from typing import Final

from django.utils.timezone import now

from lifecycle.actions.objects.bringing_in import meanings_of, table_of
from lifecycle.actions.objects.taking_back import take_back_piece
from lifecycle.actions.objects.writing_in import PIECE, as_row, reason_of, write_piece
from lifecycle.exchange.object_table.comparing import Numbers
from lifecycle.exchange.object_table.lines import read_objects
from lifecycle.planning.counting import counted
from lifecycle.queries.object_cards import lookups
from lifecycle.queries.table_traces import objects_written
from lifecycle.records.models.work import Work, WorkKind


def import_objects(work: Work) -> str | None:
    """Bring a table in; None when it was stopped. A piece that was done is not done again."""
    lists = lookups()
    reading = read_objects(table_of(work), work.inputs["keys"], lists, meanings_of(work))
    numbers = Numbers()
    total = len(reading.objects)
    if not total:
        work.results = {**work.results, "bad": [as_row(bad) for bad in reading.bad]}
    while work.done < total:
        kept = write_piece(
            work=work,
            objects=reading.objects[work.done : work.done + PIECE],
            numbers=numbers,
            lists=lists,
            total=total,
            at=now(),
            bad=reading.bad if work.done == 0 else (),
        )
        if not kept:
            return None
    told = work.results
    return (
        f"{told.get('new', 0)} new, {told.get('changed', 0)} changed, "
        f"{told.get('unchanged', 0)} unchanged, {counted(len(told['bad']), 'line')} not taken."
    )


def take_back_import(work: Work) -> str | None:
    """Take a table back; None when it was stopped."""
    table = Work.objects.get(uid=work.inputs["table"])
    keys = objects_written(reason_of(table))
    # What was taken back leaves its traces, so the list is the same when work is taken up again.
    total = len(keys)
    while work.done < total:
        piece = keys[work.done : work.done + PIECE]
        if not take_back_piece(work=work, keys=piece, total=total, at=now()):
            return None
    told = work.results
    return (
        f"{counted(told.get('taken_out', 0), 'object')} taken out, "
        f"{counted(told.get('set_back', 0), 'entry', 'entries')} "
        f"set back, {len(told.get('left', []))} left as they are."
    )


DOING: Final[dict[WorkKind, Callable[[Work], str | None]]] = {
    WorkKind.IMPORT_OBJECTS: import_objects,
    WorkKind.TAKE_BACK_IMPORT: take_back_import,
}
