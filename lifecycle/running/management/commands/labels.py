"""List every word of the surface: titles, navigation, buttons, stages, options, papers."""

import csv
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from lifecycle.running.labels import Kind, all_labels


class Command(BaseCommand):
    help = (
        "List every label of the surface with its kind and the file it stands in; a gap "
        "(…) stands where something of a record is put in."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--kind", choices=[kind.value for kind in Kind], help="Only labels of this kind."
        )
        parser.add_argument("--csv", action="store_true", help="Write CSV with a heading row.")

    def handle(self, *args: Any, **options: Any) -> None:
        wanted = options["kind"]
        labels = [one for one in all_labels() if wanted in (None, one.kind.value)]
        if options["csv"]:
            rows = csv.writer(self.stdout)
            rows.writerow(["kind", "label", "where"])
            rows.writerows((one.kind.value, one.text, one.where) for one in labels)
            return
        for one in labels:
            self.stdout.write(f"{one.kind.value:12} {one.text}  ({one.where})")
        self.stdout.write(f"{len(labels)} labels.")
