"""The sweep that wakes what waited too long, and the pieces of work it wakes."""

import logging
import os
import socket
import uuid
from collections.abc import Callable
from typing import Final

from celery import shared_task
from django.utils.timezone import now

from lifecycle.actions.package.keeping import clear_away
from lifecycle.actions.picture_copies import ask_for_missing_copies
from lifecycle.actions.work import mail, rows
from lifecycle.actions.work.backing_up import ask_for_nightly_backup
from lifecycle.actions.work.checking import ask_for_nightly_check
from lifecycle.jobs import object_tables
from lifecycle.jobs.backup import make_backup
from lifecycle.jobs.light_logs import import_light_log
from lifecycle.jobs.packages import save_package
from lifecycle.jobs.pictures import picture_copies
from lifecycle.jobs.taking_over import take_over_lines
from lifecycle.planning.counting import counted
from lifecycle.queries.integrity import faults, how_many
from lifecycle.records.models.work import Work, WorkKind

logger = logging.getLogger(__name__)

CHUNK: Final = 50


@shared_task(name="lifecycle.jobs.sweep.sweep")
def sweep() -> None:
    """Wake every row that waits: lost messages, killed workers, pauses that are over."""
    at = now()
    ask_for_nightly_check(at=at)
    ask_for_nightly_backup(at=at)
    rows.sweep(at=at)
    mail.sweep(at=at)
    clear_away(at=at)


@shared_task(name="lifecycle.jobs.sweep.do_work")
def do_work(uid: str) -> None:
    """Claim one piece of work and do it; harmless when it comes twice."""
    worker = f"{socket.gethostname()[:40]}:{os.getpid()}:{uuid.uuid4().hex[:8]}"
    work = rows.claim(uid=uid, worker=worker, at=now())
    if work is None:
        return
    try:
        ended = DOING[WorkKind(work.kind)](work)
    except Exception as trouble:
        logger.exception("%s went wrong.", work)
        rows.give_back(work=work, at=now(), trouble=f"Went wrong: {trouble}")
        return
    if ended is not None:
        rows.finish(work=work, at=now(), doing=ended)


def check_records(work: Work) -> str | None:
    """Check every signed record and kept file in chunks; None when it was stopped."""
    total = how_many(at=work.asked_at)
    while work.done < total:
        found = faults(at=work.asked_at, start=work.done, most=CHUNK)
        done = min(work.done + CHUNK, total)
        doing = f"{done} of {total} records and files checked"
        kept = rows.progress(
            work=work, done=done, total=total, doing=doing, at=now(), findings=found
        )
        if not kept:
            return None
    ask_for_missing_copies(at=now())
    return f"{total} records and files checked, {counted(len(work.findings), 'fault')}."


DOING: Final[dict[WorkKind, Callable[[Work], str | None]]] = {
    WorkKind.CHECK_RECORDS: check_records,
    WorkKind.OPEN_PACKAGE: save_package,
    **object_tables.DOING,
    WorkKind.TAKE_OVER: take_over_lines,
    WorkKind.BACKUP: make_backup,
    WorkKind.PICTURE_COPIES: picture_copies,
    WorkKind.IMPORT_LIGHT_LOG: import_light_log,
}
