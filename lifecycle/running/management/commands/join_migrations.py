"""``manage.py join_migrations``: for developers, before a release."""

from typing import Any

from django.core.management.base import BaseCommand

from lifecycle.records.joining import write_joined_step


class Command(BaseCommand):
    help = "Write all steps of the tables so far as one, which new museums take instead of them."

    def handle(self, *_: Any, **__: Any) -> None:
        name, many = write_joined_step()
        self.stdout.write(f"{name} stands for {many} steps.")
