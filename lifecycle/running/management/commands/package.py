"""Save one object, one closed showing or the whole museum as an open package, into a folder."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.timezone import now

from lifecycle.actions.package.asking import Subject, faults_of_subject, order_of, titles_of
from lifecycle.actions.package.keeping import bag_name
from lifecycle.actions.package.notes import Notes
from lifecycle.actions.package.saving import Saving
from lifecycle.planning.counting import counted
from lifecycle.queries.package.left_out import LENDER, RESTRICTION
from lifecycle.records.models import MuseumObject, Showing
from lifecycle.running.checked import ALL_BUT_ADDRESSES


class Command(BaseCommand):
    requires_system_checks = ALL_BUT_ADDRESSES
    help = (
        "Save records as a folder of plain text, tables, pictures and PDFs with a checksum list "
        "(BagIt, RFC 8493), readable without Showrest."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("--object", metavar="NUMBER", help="One object, by its number.")
        what.add_argument(
            "--showing", metavar="REQUEST", help="One showing that is over, by its request number."
        )
        what.add_argument("--museum", action="store_true", help="The whole museum.")
        parser.add_argument(
            "--to",
            metavar="FOLDER",
            required=True,
            help="The package becomes a folder here.",
        )
        parser.add_argument(
            "--restricted",
            action="store_true",
            help="With how lenders are reached, insurance references and cultural restrictions.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        at = now()
        subject = self._subject(options)
        for reason in faults_of_subject(subject):
            raise CommandError(reason.text)
        seen = frozenset({LENDER, RESTRICTION}) if options["restricted"] else frozenset()
        order = order_of(subject, made_by="the command ‘package’ of this machine", seen=seen, at=at)
        folder = Path(options["to"]).expanduser() / bag_name(titles_of(subject).short, at)
        if folder.exists():
            raise CommandError(f"{folder} is there already: name another folder, or move it away.")
        with TemporaryDirectory(prefix="showrest-package-") as notes:
            try:
                saved = Saving(order, folder, Notes(Path(notes))).save(lambda _more, _doing: None)
            except OSError as trouble:
                raise CommandError(f"The package could not be written: {trouble}") from trouble
        for what in saved.missing:
            self.stderr.write(what)
        self.stdout.write(
            f"{counted(saved.rows, 'record')} in {counted(saved.files, 'file')}, "
            f"{saved.size} bytes: {saved.folder}"
        )

    def _subject(self, options: dict[str, Any]) -> Subject:
        if number := options["object"]:
            found = MuseumObject.objects.filter(object_number__iexact=number).first()
            if found is None:
                raise CommandError(f"No object has the number “{number}”.")
            return found
        if number := options["showing"]:
            rows = Showing.objects.select_related("museum_object", "exhibition")
            showing = rows.filter(request_no__iexact=number).first()
            if showing is None:
                raise CommandError(f"No showing has the number “{number}”.")
            return showing
        return None
