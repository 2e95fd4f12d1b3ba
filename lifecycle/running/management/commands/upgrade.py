"""Upgrade the tables and start nothing: a backup first, then each step."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils.timezone import now

from lifecycle.running.checked import ALL_BUT_ADDRESSES
from lifecycle.running.starting import held_folder
from lifecycle.running.upgrading import upgrade


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = (
        "Bring the tables up to date, with a backup before it. For a rehearsal on a copy, and for "
        "houses on several hosts, before 'manage.py up'."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-backup", action="store_true", help="You have one of your own.")

    def handle(self, *args: Any, **options: Any) -> None:
        with held_folder():
            upgrade(say=self.stdout.write, at=now(), backup=not options["no_backup"])
        self.stdout.write("The tables are up to date.")
