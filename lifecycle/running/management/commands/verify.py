"""Check every signed record: its kept words, its rows and its signatures give one digest."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from lifecycle.exchange.package.bag import faults_of_bag
from lifecycle.queries.integrity import signed_faults
from lifecycle.records.triggers import missing_triggers


class Command(BaseCommand):
    help = (
        "Re-check the digest of every signed record against its rows and its signatures, and "
        "that the triggers stand which keep them; or every file of an open package against its "
        "checksum list. Ends with 1 and names what differs."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--package", metavar="FOLDER", help="Check this open package and nothing else."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["package"]:
            self._check_package(Path(options["package"]))
            return
        checked, faults = signed_faults()
        for name in missing_triggers(connection):
            faults.append(f"The trigger {name} is missing: run manage.py migrate.")
        for fault in faults:
            self.stderr.write(fault)
        summary = f"{checked} signed records checked, {len(faults)} faults."
        if faults:
            raise CommandError(summary)
        self.stdout.write(summary)

    def _check_package(self, folder: Path) -> None:
        faults = list(faults_of_bag(folder))
        for fault in faults:
            self.stderr.write(fault)
        if faults:
            raise CommandError(f"{folder}: {len(faults)} faults.")
        self.stdout.write(f"{folder}: every file is what it was when the package was made.")
