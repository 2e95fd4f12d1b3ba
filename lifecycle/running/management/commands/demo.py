"""Load the demo once, relative to today, and start it; a second run keeps what was done in it."""

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.timezone import localdate, now

from lifecycle.actions.demo import load_demo
from lifecycle.actions.work.letters import make_due_letters
from lifecycle.records.models import Museum, MuseumObject, Person
from lifecycle.running.checked import ALL_BUT_ADDRESSES
from lifecycle.running.starting import held_folder, prepare, serve


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = "Make the database, load the demo museum if it is empty, and start everything."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--load-only", action="store_true", help="Load the demo, but start nothing."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        os.environ["SHOWREST_DEMO"] = "1"
        with held_folder():
            prepare(self._say, at=now())
            self._load()
            if options["load_only"]:
                return
            # The day's letters are there to be read whatever the hour at which it is started.
            make_due_letters(at=now(), whatever_hour=True)
            serve(say=self._say, at=now(), demo=True)

    def _load(self) -> None:
        museum = Museum.objects.first()
        if museum and museum.is_demo:
            self._say("The demo is already here; what was done in it is kept.")
            return
        if museum or Person.objects.exists() or MuseumObject.objects.exists():
            raise CommandError(
                "This data folder holds a museum's own records: the demo can't be loaded over "
                "them. Name another folder in SHOWREST_DATA."
            )
        self._say("Loading the demo museum ...")
        load_demo(on=localdate())

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()
