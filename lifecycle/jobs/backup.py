"""The backup in the background: the row says how far it is, and may ask it to stop."""

import logging
import socket
import time
from pathlib import Path

from django.conf import settings
from django.utils.timezone import now

from lifecycle.actions.backup.making import Busy, Failed, Stopped
from lifecycle.actions.backup.whole import Outcome, back_up
from lifecycle.actions.work import heartbeats, rows
from lifecycle.planning.counting import counted
from lifecycle.records.models.work import LifeSign, Work

logger = logging.getLogger(__name__)

TELL_EVERY_S = 1.0


def make_backup(work: Work) -> str | None:
    """Make and prove a backup; None when it was stopped."""
    told = [0.0]

    def tell(doing: str, done: int, total: int) -> None:
        if time.monotonic() - told[0] < TELL_EVERY_S:
            return
        told[0] = time.monotonic()
        if not rows.progress(work=work, done=done, total=total, doing=doing.capitalize(), at=now()):
            raise Stopped

    try:
        made = back_up(root=Path(settings.BACKUPS_DIR), at=now(), tell=tell)
    except Stopped:
        return None
    except Busy as busy:
        return str(busy)
    except Failed:
        logger.exception("The backup failed.")
        raise
    if made.proven:
        heartbeats.seen(part=LifeSign.BACKUP, host=socket.gethostname(), at=now())
    work.results = made.as_data()
    if made.faults:
        rows.progress(
            work=work, done=1, total=1, doing=in_words(made), at=now(), findings=made.faults
        )
    return in_words(made)


def in_words(made: Outcome) -> str:
    """What came of a backup in one line."""
    what = f"{counted(made.rows, 'row')} and {counted(made.files, 'file')} kept"
    if made.proven:
        return f"{what}, and proven by restoring them."
    return f"{what}, but not proven: see what was found."
