"""Ask for a backup: each night, or by the steward; and note one that a command has made."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from lifecycle.actions.work.by_night import ask_by_night, ask_now
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Museum, Person
from lifecycle.records.models.work import Work, WorkKind, WorkState

NIGHT_HOUR = 2


def ask_for_nightly_backup(*, at: datetime) -> Work | None:
    """Write the night's backup once 02:00 has come in the museum's zone; None before that.

    None too before a museum has begun, and for the demo: there is nothing yet that must be safe.
    """
    if not Museum.objects.filter(is_demo=False).exists():
        return None
    return ask_by_night(kind=WorkKind.BACKUP, stem="backup", hour=NIGHT_HOUR, at=at)


def ask_for_backup(*, by: Person, role: Role, at: datetime) -> Work:
    """Have a backup made now; refused while one is being made."""
    busy = "A backup is being made already; wait for it, or stop it first."
    return ask_now(by=by, role=role, at=at, kind=WorkKind.BACKUP, stem="backup", busy=busy)


def note_backup(*, began: datetime, at: datetime, doing: str, results: Mapping[str, Any]) -> Work:
    """Note a backup that was made by a command, so that the steward and health know of it."""
    return Work.objects.create(
        kind=WorkKind.BACKUP,
        key=f"backup/command/{began.isoformat()}",
        state=WorkState.DONE,
        asked_at=began,
        ended_at=at,
        doing=doing[:200],
        findings=list(results["faults"]),
        results=dict(results),
    )
