"""Check every signed record: its kept words, its rows and its signatures give one digest."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from lifecycle.queries.signed_text.registry import all_signed, faults_of
from lifecycle.records.triggers import missing_triggers


class Command(BaseCommand):
    help = (
        "Re-check the digest of every signed record against its rows and its signatures, and "
        "that the triggers stand which keep them. Ends with 1 and names what differs."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        checked, faults = 0, 0
        for kind, record in all_signed():
            checked += 1
            for fault in faults_of(record, kind):
                faults += 1
                self.stderr.write(f"{fault.record}: {fault.what}.")
        for name in missing_triggers(connection):
            faults += 1
            self.stderr.write(f"The trigger {name} is missing: run manage.py migrate.")
        summary = f"{checked} signed records checked, {faults} faults."
        if faults:
            raise CommandError(summary)
        self.stdout.write(summary)
