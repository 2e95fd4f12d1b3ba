"""Make a backup while the site runs: database, files and checksums in one folder, proven."""

import socket
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.utils.timezone import now

from lifecycle.actions.backup.making import Busy, Failed
from lifecycle.actions.backup.whole import back_up
from lifecycle.actions.work import heartbeats
from lifecycle.actions.work.backing_up import note_backup
from lifecycle.jobs.backup import in_words
from lifecycle.records.models.work import LifeSign
from lifecycle.records.tables import applied_steps, steps_ahead
from lifecycle.running.telling import Teller


class Command(BaseCommand):
    requires_system_checks: list[str] = []  # rows as they are, whatever the settings
    help = (
        "Write database, files and a list of checksums into a folder of their own, while the site "
        "runs; read them again and restore them elsewhere as a proof. Ends with 1 if that fails."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--to",
            default=str(settings.BACKUPS_DIR),
            help="The folder in which the backup's own folder is made (SHOWREST_BACKUPS).",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if not applied_steps(connection):
            raise CommandError("There is nothing to back up: the database holds no tables yet.")
        began = now()
        root = Path(options["to"]).expanduser()
        try:
            made = back_up(root=root, at=began, tell=Teller(self.stdout.write))
        except (Busy, Failed, OSError) as trouble:
            raise CommandError(str(trouble)) from None
        if not steps_ahead(connection):
            note_backup(began=began, at=now(), doing=in_words(made), results=made.as_data())
            if made.proven:
                heartbeats.seen(part=LifeSign.BACKUP, host=socket.gethostname(), at=now())
        for fault in made.faults:
            self.stderr.write(fault)
        self.stdout.write(f"{made.folder}\n{in_words(made)} Digest of all tables: {made.digest}")
        if not made.proven:
            raise CommandError("The backup is not proven.")
