"""Who changed a record, in which role, when, why, and what was there before and after."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lifecycle.process.stages import Role
from lifecycle.queries.package.columns import Column
from lifecycle.queries.package.kinds import KindOfRecord
from lifecycle.queries.package.naming import Names
from lifecycle.queries.package.values import coded, plain_value
from lifecycle.records.models import Person


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One entry of a record's history."""

    at: datetime
    by: str
    role: str
    why: str
    what: str


def changes_by_row(
    kind: KindOfRecord, columns: Sequence[Column], rows: Sequence[Any], names: Names
) -> dict[int, list[Change]]:
    """Return the history of each row by its id, oldest first; one query and one for each name.

    Rows that are written once have none.
    """
    manager = getattr(kind.model, "history", None)
    if manager is None or not rows:
        return {}
    entries = list(
        manager.filter(id__in=[row.pk for row in rows]).order_by("id", "history_date", "history_id")
    )
    told = [column for column in columns if not column.many]
    names.look_up(Person, [entry.history_user_id for entry in entries])
    for column in told:
        if column.target is not None:
            names.look_up(column.target, [getattr(entry, column.key) for entry in entries])
    found: dict[int, list[Change]] = {}
    before: Any = None
    for entry in entries:
        same = before is not None and before.id == entry.id
        what = _differences(before, entry, told, names) if same else "written down"
        user = names.of(Person, entry.history_user_id) if entry.history_user_id else None
        found.setdefault(entry.id, []).append(
            Change(
                at=entry.history_date,
                by=user.text if user else "",
                role=Role(entry.history_role).label if entry.history_role else "",
                why=entry.history_change_reason or "",
                what=what,
            )
        )
        before = entry
    return found


def _differences(before: Any, after: Any, columns: Sequence[Column], names: Names) -> str:
    parts = []
    for column in columns:
        was, is_now = getattr(before, column.key), getattr(after, column.key)
        if was != is_now:
            old, new = _said(column, was, names), _said(column, is_now, names)
            parts.append(f"{column.label} from ‘{old}’ to ‘{new}’")
    return "; ".join(parts)


def _said(column: Column, value: Any, names: Names) -> str:
    if value in (None, ""):
        return "not stated"
    if column.target is not None:
        return names.of(column.target, value).text
    return coded(column, value) if column.words else plain_value(value)
