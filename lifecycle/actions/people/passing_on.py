"""Passing on what somebody who leaves has in hand: named rows, to one named person, in one go."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.people_named import gone_by
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.hand_over import HELD, Held
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person


@transaction.atomic
def pass_on(
    *,
    by: Person,
    role: Role,
    at: datetime,
    person: Person,
    to: Person,
    keys: Sequence[str],
    why: str,
) -> int:
    """Name ``to`` where ``person`` was named, in every row of ``keys``; return how many.

    A key is 'kind:uid' as the hand-over list gives it. What was done or signed keeps the name of
    who did it; a row that is done, or names somebody else by now, is refused with all the others.
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    reasons = []
    if to.pk == person.pk:
        reasons.append(Reason("Choose somebody else than the one who leaves.", "to"))
    if gone_by(to, museum_day(at)):
        reasons.append(Reason(f"{to.full_name} has left too.", "to"))
    if not keys:
        reasons.append(Reason("Tick what is to be passed on.", "keys"))
    if not why.strip():
        reasons.append(Reason("Say why; the reason stays with each record.", "why"))
    if reasons:
        raise Refused(reasons)
    wanted: dict[str, list[str]] = defaultdict(list)
    for key in keys:
        kind, _, uid = key.partition(":")
        wanted[kind].append(uid)
    # One exhibition may be managed and curated by the same person: it is one row, read once.
    read: dict[tuple[str, int], Any] = {}
    rows = [
        (HELD[kind], read.setdefault((row._meta.label, row.pk), row))
        for kind, uids in wanted.items()
        if kind in HELD
        for row in _locked(HELD[kind], person, uids)
    ]
    if len(rows) != len(set(keys)):
        said = "Some of these are done or passed on meanwhile; nothing was changed. Look again."
        raise Refused(Reason(said, "keys"))
    for held, row in rows:
        if held.beside and getattr(row, f"{held.beside}_id") == to.pk:
            said = f"{held.words(row)}: {to.full_name} is the other of the two already."
            reasons.append(Reason(said, "keys"))
    if reasons:
        raise Refused(reasons)
    for held, row in rows:
        _name(held, row, person, to)
        said = f"Passed on from {person.full_name} to {to.full_name}: {why.strip()}"
        row.keep(by=by, role=role, why=said, at=at)
    return len(rows)


def _locked(held: Held, person: Person, uids: Sequence[str]) -> list[Any]:
    """The rows asked for, locked one and all before any of them is written."""
    rows = held.model._default_manager.select_for_update().filter(uid__in=uids)
    still = set(held.rows(person).filter(uid__in=uids).values_list("pk", flat=True))
    return [row for row in rows.order_by("pk") if row.pk in still]


def _name(held: Held, row: Any, person: Person, to: Person) -> None:
    if held.many:
        others = getattr(row, held.field).exclude(pk__in=(person.pk, to.pk))
        row.put_lists(**{held.field: [*others, to]})
    else:
        setattr(row, held.field, to)
