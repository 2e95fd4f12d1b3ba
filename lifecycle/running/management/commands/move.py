"""Move all tables to another database: from the embedded SQLite to PostgreSQL, or back."""

import os
from datetime import timedelta
from typing import Any, Final

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.utils.timezone import now

from lifecycle.actions.backup.making import Busy, Failed
from lifecycle.actions.backup.moving import NotMoved, move
from lifecycle.records.models.work import Heartbeat, LifeSign
from lifecycle.records.tables import applied_steps
from lifecycle.running.starting import held_folder
from lifecycle.running.telling import Teller
from lifecycle.running.upgrading import refuse_unfinished_upgrade, refuse_what_cannot_run

STILL_AT_WORK: Final = timedelta(seconds=60)


class Command(BaseCommand):
    requires_system_checks: list[str] = []  # rows as they are, whatever the settings
    help = (
        "Copy every table into an empty database, compare counts and digests, and verify the "
        "signed records there. Stop the site first. The source stays as it is."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--to",
            default="",
            help="postgresql://user@host/name or sqlite:////path; or give it in SHOWREST_MOVE_TO, "
            "which keeps a password off the command line. ~/.pgpass and PGPASSWORD serve too.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        to = options["to"] or os.environ.get("SHOWREST_MOVE_TO", "")
        if not to:
            raise CommandError("Name the other database in --to or in SHOWREST_MOVE_TO.")
        tell = Teller(self.stdout.write)
        with held_folder():
            if not applied_steps(connection):
                raise CommandError("There is nothing to move: the database holds no tables yet.")
            refuse_what_cannot_run()
            refuse_unfinished_upgrade()
            if Heartbeat.objects.filter(
                part=LifeSign.WORKER, seen_at__gte=now() - STILL_AT_WORK
            ).exists():
                raise CommandError(
                    "A worker was at work on this database within the last minute. Stop every web "
                    "server and worker first: what they write after the copy would be lost."
                )
            try:
                about, said = move(
                    to=to,
                    beside=settings.DATA_DIR / "move",
                    at=now(),
                    tell=tell,
                    wait=lambda: tell("writing and comparing in the other database", 0, 0),
                )
            except (Busy, Failed, ImproperlyConfigured) as trouble:
                raise CommandError(str(trouble)) from None
            except NotMoved as trouble:
                raise CommandError(
                    f"{trouble}\nThe other database is not to be used. This one is as it was."
                ) from None
        self.stdout.write(
            f"{about.rows} rows in {len(about.tables)} tables are in the other database, with the "
            f"same counts and digests (of all: {about.digest}).\n{said}\n"
            "Set DATABASE_URL to it and start. Pictures and scans stay where they are. This "
            "database was only read: keep it until the other has been used for a while."
        )
