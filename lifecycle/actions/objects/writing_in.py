"""The worker's part of bringing a table in: a piece at a time, each piece whole or not at all."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.objects.bringing_in import table_deed
from lifecycle.actions.objects.cards import keeps_communities
from lifecycle.actions.objects.writing_cards import Hand, write_cards
from lifecycle.actions.work import rows
from lifecycle.exchange.object_table.comparing import Numbers, plan_of
from lifecycle.exchange.object_table.lines import BadLine, Wanted
from lifecycle.planning.counting import counted
from lifecycle.process.stages import Role
from lifecycle.queries.object_cards import Lookup
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import MuseumObject, Person
from lifecycle.records.models.work import Work, WorkState

PIECE: Final = 500


class NotOurs(Exception):
    """Another worker has the work: what this piece wrote is undone."""


def reason_of(work: Work) -> str:
    """What the history says of every row a table wrote; it leads back to the table."""
    return f"Brought in from a table, {work.inputs['name'][-40:]} ({str(work.uid)[:8]})."


def write_piece(
    *,
    work: Work,
    objects: Sequence[Wanted],
    numbers: Numbers,
    lists: Mapping[str, Lookup],
    total: int,
    at: datetime,
    bad: Sequence[BadLine] = (),
) -> bool:
    """Write the next objects of a table and note how far it has come, in one transaction.

    What is on record is read again under lock, so that nothing written meanwhile is overwritten
    unseen. False means: stop now.
    """
    try:
        with transaction.atomic():
            return _write(work, objects, numbers, lists, total, at, bad)
    except NotOurs:
        return False


def _write(
    work: Work,
    objects: Sequence[Wanted],
    numbers: Numbers,
    lists: Mapping[str, Lookup],
    total: int,
    at: datetime,
    bad: Sequence[BadLine],
) -> bool:
    by = asker_of(work)
    role = Role(work.inputs["role"])
    allow(by=by, role=role, deed=table_deed(role), at=at)
    keys = [key for one in objects if (key := numbers.key(one.number)) is not None]
    list(MuseumObject.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    plan = plan_of(objects, numbers, lists, keeps_communities(role))
    hand = Hand(by=by, role=role.value, at=at, why=reason_of(work))
    write_cards([*plan.new, *plan.changed], hand=hand, lists=lists, day=museum_day(at))
    done = work.done + len(objects)
    results = dict(work.results)
    for name, piece in (
        ("new", plan.new),
        ("changed", plan.changed),
        ("unchanged", plan.unchanged),
    ):
        results[name] = results.get(name, 0) + len(piece)
    found = [*results.get("bad", []), *map(as_row, [*bad, *plan.bad])]
    results["bad"] = sorted(found, key=lambda row: row[0])
    said = f"{done} of {counted(total, 'object')}"
    return note(work=work, done=done, total=total, said=said, at=at, results=results)


def note(
    *, work: Work, done: int, total: int, said: str, at: datetime, results: Mapping[str, Any]
) -> bool:
    """Note a piece inside its own transaction; False when somebody asked to stop after it.

    :raises NotOurs: when another worker has the work, so that the piece is undone
    """
    if rows.progress(work=work, done=done, total=total, doing=said, at=at, results=results):
        return True
    if Work.objects.filter(pk=work.pk, state=WorkState.STOPPED, done=done).exists():
        return False
    raise NotOurs


def asker_of(work: Work) -> Person:
    """Who stands for what is written."""
    if work.asked_by is None:
        raise NotOurs
    return work.asked_by


def as_row(bad: BadLine) -> list[Any]:
    """A bad line as plain data: its number, the object number, the reasons."""
    return [bad.number, bad.object_number, " ".join(bad.reasons)]
