"""Rebuild everything from a backup, in an empty data folder and an empty database."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils.timezone import now

from lifecycle.actions.backup.elsewhere import SIGNED_DIFFERS
from lifecycle.actions.backup.restoring import NotRestored, restore
from lifecycle.exchange.backup.folder import BadBackup
from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.running.starting import held_folder
from lifecycle.running.telling import Teller


class Command(BaseCommand):
    requires_system_checks: list[str] = []  # rows as they are, whatever the settings
    help = (
        "Rebuild database and files from a backup in an empty data folder (SHOWREST_DATA) or an "
        "empty database (DATABASE_URL), checking every digest. Nothing is written over."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", help="The backup's own folder, showrest-….")
        parser.add_argument(
            "--tables-only", action="store_true", help="The database alone, without files."
        )
        parser.add_argument("--quiet", action="store_true", help="Say only what goes wrong.")

    def handle(self, *args: Any, **options: Any) -> None:
        tell = Teller(self.stdout.write, quiet=options["quiet"])
        with held_folder():
            try:
                done = restore(
                    folder=Path(options["folder"]).expanduser().resolve(),
                    at=now(),
                    tell=tell,
                    with_files=not options["tables_only"],
                )
            except (BadBackup, NotRestored, DatabaseError) as trouble:
                raise CommandError(str(trouble).strip()) from None
        taken = done.about.taken_at
        files = 0 if options["tables_only"] else done.about.files
        self.stdout.write(
            f"{done.about.museum or 'The museum'} as of {day_words(taken)}, {taken:%H:%M} UTC: "
            f"{done.about.rows} rows in {len(done.about.tables)} tables and {files} files "
            f"restored, {counted(done.signed, 'signed record')} checked."
        )
        if done.later_steps:
            self.stdout.write(
                f"The tables were then upgraded by {counted(done.later_steps, 'step')}."
            )
        if done.faults:
            for fault in done.faults:
                self.stderr.write(fault)
            faults = counted(len(done.faults), "fault")
            raise CommandError(
                "All is as the backup has it, but what was signed no longer agrees with its "
                f"digest: {faults}. It was so when the backup was made.",
                returncode=SIGNED_DIFFERS,
            )
