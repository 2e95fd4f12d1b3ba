"""Keep web, worker and broker running, as they are: no tables changed, nothing loaded."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils.timezone import now

from lifecycle.records.models.people import Museum
from lifecycle.running.checked import ALL_BUT_ADDRESSES
from lifecycle.running.starting import gather_static, held_folder, serve
from lifecycle.running.upgrading import refuse_unfinished_upgrade, refuse_what_cannot_run


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = "Start, watch, restart and stop web, worker and broker together."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--only",
            choices=("web", "worker"),
            default="",
            help="On a host of its own, with DATABASE_URL and REDIS_URL: this part alone.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        with held_folder():
            refuse_what_cannot_run()
            refuse_unfinished_upgrade()
            gather_static()
            demo = Museum.objects.filter(is_demo=True).exists()
            serve(say=self._say, at=now(), demo=demo, only=options["only"])

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()
