"""The last backups as their rows tell them: when, how large, where, proven or not."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from lifecycle.records.models.work import Work, WorkKind, WorkState

# One night and two hours: a backup that came late on one day is not yet a trouble.
LATE_AFTER: Final = timedelta(hours=26)


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupLine:
    """One backup that was asked for. ``folder`` is empty where none came of it.

    ``gone`` tells that a later one has let it go, as the house keeps only so many.
    """

    asked_at: datetime
    asked_by: str
    taken_at: datetime
    state: str
    failed: bool
    doing: str
    folder: str
    size: int
    rows: int
    files: int
    proven: bool
    gone: bool
    faults: list[str]


def last_backups(*, most: int = 15) -> list[BackupLine]:
    """The newest backups that have ended, newest first."""
    ended = Work.objects.filter(
        kind=WorkKind.BACKUP, state__in=(WorkState.DONE, WorkState.FAILED, WorkState.STOPPED)
    )
    rows = ended.select_related("asked_by").order_by("-asked_at", "-pk")
    newest = list(rows[:most])
    removed = {name for work in newest for name in work.results.get("removed", ())}
    return [_line(work, removed) for work in newest]


def _line(work: Work, removed: Collection[str]) -> BackupLine:
    results = work.results
    taken = results.get("taken_at")
    return BackupLine(
        asked_at=work.asked_at,
        asked_by=work.asked_by.full_name if work.asked_by else "",
        taken_at=datetime.fromisoformat(taken) if taken else work.asked_at,
        state=WorkState(work.state).label,
        failed=work.state == WorkState.FAILED,
        doing=work.doing,
        folder=results.get("folder", ""),
        size=results.get("size", 0),
        rows=results.get("rows", 0),
        files=results.get("files", 0),
        proven=bool(results.get("proven", False)),
        gone=Path(results.get("folder", "")).name in removed,
        faults=list(work.findings),
    )
