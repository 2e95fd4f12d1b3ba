"""Start Showrest for a museum's own records: one command for web, worker, schedule and broker."""

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from lifecycle.records.models.people import Museum
from lifecycle.running.checked import ALL_BUT_ADDRESSES
from lifecycle.running.starting import held_folder, prepare, serve


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = "Bring the tables up to date and start everything on this data folder."

    def handle(self, *args: Any, **options: Any) -> None:
        with held_folder():
            prepare(self._say, at=now(), backup=True)
            if Museum.objects.filter(is_demo=True).exists():
                raise CommandError(
                    "This data folder holds the demo. Start it with 'manage.py demo', or name "
                    "another folder in SHOWREST_DATA for a museum's own records."
                )
            os.environ["SHOWREST_DEMO"] = "0"
            serve(say=self._say, at=now(), demo=False)

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()
