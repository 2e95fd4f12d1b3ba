"""Bring the tables up to date, so that an upgrade that was cut off is found and taken up again."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.management.base import CommandError
from django.db import connection

from lifecycle.actions.backup.making import Busy, Failed, backups_folder, make_backup
from lifecycle.records import tables, unfinished
from lifecycle.running.telling import Teller

Say = Callable[[str], None]

TAKEN_UP: Final = (
    "The upgrade begun on {begun} did not end. Each of its steps is whole or was undone, so it is "
    "taken up again now. To go back instead: stop, and restore {source} into an empty folder with "
    "the version that made it."
)


def refuse_what_cannot_run() -> None:
    """Refuse a database that a restore left unfinished or that a newer program has upgraded.

    :raises CommandError: with what to do
    """
    mark = unfinished.found(connection)
    if mark and mark.deed == unfinished.RESTORE:
        raise CommandError(
            f"A restore or move from {mark.source} into this database was begun on {mark.begun} "
            "and did not end, so this database is not whole. Run the same restore or move again: "
            "it begins anew."
        )
    if unknown := tables.unknown_steps(tables.applied_steps(connection)):
        app, name = unknown[0]
        raise CommandError(
            f"These tables are newer than this version of Showrest: it does not know their step "
            f"{app} {name}. Start the newer version, or restore a backup that is older."
        )


def refuse_unfinished_upgrade() -> None:
    """Refuse to serve while an upgrade is not through.

    :raises CommandError: with what to do
    """
    mark = unfinished.found(connection)
    if tables.steps_ahead(connection) or mark:
        cut_off = f"The upgrade begun on {mark.begun} did not end. " if mark else ""
        raise CommandError(
            f"{cut_off}The tables are not up to date. Run 'manage.py upgrade', or use "
            "'manage.py start', which upgrades and serves."
        )


def upgrade(*, say: Say, at: datetime, backup: bool) -> None:
    """Make a backup where there is anything to lose, then take the steps; take up one cut off.

    :raises CommandError: when the tables are newer, a restore is unfinished or the backup fails
    """
    refuse_what_cannot_run()
    mark = unfinished.found(connection)
    ahead = tables.steps_ahead(connection)
    if mark:
        say(TAKEN_UP.format(begun=mark.begun, source=mark.source))
    elif ahead and tables.applied_steps(connection):
        source = str(_backup(say, at)) if backup else "the last backup"
        begun = at.astimezone(UTC).isoformat(timespec="seconds")
        unfinished.begin(
            connection, unfinished.Unfinished(unfinished.UPGRADE, begun=begun, source=source)
        )
    say("Bringing the tables up to date ...")
    tables.catch_up(connection)
    unfinished.end(connection)


def _backup(say: Say, at: datetime) -> Path:
    say("These tables are older than this version. First, a backup:")
    root = Path(settings.BACKUPS_DIR)
    try:
        with backups_folder(root):
            return make_backup(root=root, at=at, tell=Teller(say)).folder
    except (Busy, Failed, OSError) as trouble:
        raise CommandError(
            f"{trouble} Without a backup nothing is upgraded. Mend that first, or run 'manage.py "
            "upgrade --no-backup' if you have one of your own."
        ) from None
