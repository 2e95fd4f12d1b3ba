"""Check every signed record and every print: what was kept still gives the digest it was given."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from lifecycle.exchange.package.bag import faults_of_bag
from lifecycle.papers.stamped import print_faults
from lifecycle.planning.counting import counted
from lifecycle.queries.integrity import signed_faults
from lifecycle.records.triggers import missing_triggers
from lifecycle.running.checked import ALL_BUT_ADDRESSES


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = (
        "Re-check the digest of every signed record against its rows and its signatures, and of "
        "every print against its words, and that the triggers stand which keep them; or every "
        "file of an open package against its checksum list. Ends with 1 and names what differs."
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
        prints, damaged = print_faults()
        faults += damaged
        for name in missing_triggers(connection):
            faults.append(f"The trigger {name} is missing: run manage.py migrate.")
        for fault in faults:
            self.stderr.write(fault)
        summary = (
            f"{counted(checked, 'signed record')} checked, {counted(prints, 'print')}, "
            f"{counted(len(faults), 'fault')}."
        )
        if faults:
            raise CommandError(summary)
        self.stdout.write(summary)

    def _check_package(self, folder: Path) -> None:
        faults = list(faults_of_bag(folder))
        for fault in faults:
            self.stderr.write(fault)
        if faults:
            raise CommandError(f"{folder}: {counted(len(faults), 'fault')}.")
        self.stdout.write(f"{folder}: every file is what it was when the package was made.")
