"""Who changed a kept record, when, in which role and why."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lifecycle.process.stages import Role
from lifecycle.records.base import Kept


@dataclass(frozen=True, slots=True)
class Change:
    """One line of a record's history."""

    at: datetime
    by: str
    role: str
    why: str


def who_saved(record: Kept) -> str:
    """Return who saved a record last, as a conflict names them; one query."""
    return next((one.by for one in changes_of(record, most=1) if one.by), "Somebody")


def changes_of(record: Kept, *, most: int = 50) -> list[Change]:
    """Return the latest changes of one record, newest first, in one query."""
    history: Any = record.history  # type: ignore[attr-defined]
    rows = history.select_related("history_user").order_by("-history_date", "-history_id")[:most]
    return [
        Change(
            at=row.history_date,
            by=row.history_user.full_name if row.history_user else "",
            role=Role(row.history_role).label if row.history_role else "",
            why=row.history_change_reason or "",
        )
        for row in rows
    ]


def version_of(record: Kept) -> int:
    """Return how often the record was kept: the version a form carries and hands back."""
    history: Any = record.history  # type: ignore[attr-defined]
    return int(history.count())


def in_words(value: object) -> str:
    """Write a value of a record as people read it; nothing is an empty text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    label = getattr(value, "label", None)
    return label if isinstance(label, str) else str(value)


def stored_words(record: Kept, name: str) -> str:
    """Write a column of a record as people read it, a choice by its word."""
    display = getattr(record, f"get_{name}_display", None)
    return in_words(display() if display is not None else getattr(record, name))
