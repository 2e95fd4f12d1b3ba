"""Begin a museum's own records: its name, its zone and its first steward."""

import getpass
import os
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.timezone import now

from lifecycle.actions.beginning import begin
from lifecycle.actions.refusals import Refused
from lifecycle.running.checked import ALL_BUT_ADDRESSES
from lifecycle.running.starting import held_folder, prepare


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = (
        "Begin a museum's own records on this data folder. The first steward's password is asked "
        "for, or taken from SHOWREST_FIRST_PASSWORD. Then run 'manage.py start'."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--museum", required=True, help="The museum's name.")
        parser.add_argument("--zone", required=True, help="Its time zone, like Europe/London.")
        parser.add_argument("--steward", required=True, help="The first steward's full name.")
        parser.add_argument("--username", required=True, help="The name they sign in with.")
        parser.add_argument("--email", default="", help="Their mail address.")

    def handle(self, *args: Any, **options: Any) -> None:
        password = os.environ.get("SHOWREST_FIRST_PASSWORD") or getpass.getpass("Password: ")
        with held_folder():
            prepare(self.stdout.write, at=now())
            try:
                person = begin(
                    museum=options["museum"],
                    zone=options["zone"],
                    full_name=options["steward"],
                    email=options["email"],
                    username=options["username"],
                    password=password,
                    at=now(),
                )
            except Refused as refused:
                raise CommandError("\n".join(reason.text for reason in refused.reasons)) from None
        self.stdout.write(f"{options['museum']} has begun, with {person.full_name} as steward.")
