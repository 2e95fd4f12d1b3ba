"""Ask for a backup: each night, or by the steward; and note one that a command has made."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work.rows import OPEN, ask
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.records.models.people import Museum, Person
from lifecycle.records.models.work import Work, WorkKind, WorkState

NIGHT_HOUR = 2


def ask_for_nightly_backup(*, at: datetime) -> Work | None:
    """Write the night's backup once 02:00 has come in the museum's zone; None before that.

    None too before a museum has begun, and for the demo: there is nothing yet that must be safe.
    """
    if not Museum.objects.filter(is_demo=False).exists():
        return None
    here = at.astimezone(museum_zone())
    if here.hour < NIGHT_HOUR:
        return None
    return ask(kind=WorkKind.BACKUP, key=f"backup/{here.date()}", by=None, at=at)


@transaction.atomic
def ask_for_backup(*, by: Person, role: Role, at: datetime) -> Work:
    """Have a backup made now; refused while one is being made."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    if Work.objects.select_for_update().filter(kind=WorkKind.BACKUP, state__in=OPEN):
        raise Refused("A backup is being made already; wait for it, or stop it first.")
    return ask(kind=WorkKind.BACKUP, key=f"backup/{at.isoformat()}", by=by, at=at)


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
