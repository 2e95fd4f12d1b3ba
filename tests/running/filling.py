"""Run inside a house's own processes: fill it, write on in it, look into it."""

import itertools
import sys
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

from django.conf import settings
from django.db import transaction
from django.utils.timezone import now

from lifecycle.actions.backup.making import backups_folder, make_backup
from lifecycle.actions.backup.restoring import digests
from lifecycle.actions.pictures import store_document
from lifecycle.exchange.backup.lines import digest_of_all
from lifecycle.process.stages import Role
from lifecycle.queries.integrity import faults, how_many
from lifecycle.records import tables
from lifecycle.records.models import ConditionReport, Document, Message, Person, Word
from tests.builders.condition import make_picture, make_signed
from tests.builders.core import make_face, make_museum, make_person
from tests.builders.work import make_message

PAIR = "One of a pair"


def fill() -> None:
    """A museum with a signed report, a picture, scans, a hole in its numbers, words in scripts."""
    make_museum(name="Hollinshire Museum, “Ärmel” 雨")
    steward = make_person(Role.STEWARD, Role.REGISTRAR, Role.CONSERVATOR, name="Marit Oldacre")
    face = make_face()
    make_signed(faces=[face], by=steward)
    make_picture(face, steward)
    keep_scan(steward, "a letter, as it came")
    gone = make_message(person=steward, key="gone", body="one\ntwo\t“three” \\ ''")
    make_message(person=steward, key="stays", body="né, 雨, \u2028 and a\nline")
    last = make_message(person=steward, key="last")
    gone.delete()
    last.delete()


def keep_scan(person: Person, title: str) -> Document:
    data = b"%PDF-1.7\n" + f"{title} {now().isoformat()}".encode() + b"\n%%EOF\n"
    return store_document(
        data=data, name="scan.pdf", title=title, by=person, role=Role.REGISTRAR, at=now()
    )


def write_on() -> None:
    """Keep two scans in each transaction, for ever: one of them alone is never to be seen."""
    steward = Person.objects.get(full_name="Marit Oldacre")
    for number in itertools.count(1):
        with transaction.atomic():
            keep_scan(steward, PAIR)
            keep_scan(steward, PAIR)
        say(number)


def say(*words: object) -> None:
    sys.stdout.write(" ".join(str(word) for word in words) + "\n")
    sys.stdout.flush()


def digest() -> None:
    """The digest of all tables, as this database gives it now."""
    say(digest_of_all(digests(lambda *_: None)))


def back_up() -> None:
    """Make a backup without its proof, and say where it is."""
    root = Path(settings.BACKUPS_DIR)
    with backups_folder(root):
        say(make_backup(root=root, at=now(), tell=lambda *_: None).folder)


def back_up_turned() -> None:
    """The same with the columns the other way round, as another version may have them."""
    forward = tables.columns_of
    with patch.object(tables, "columns_of", lambda model: forward(model)[::-1]):
        back_up()


def pairs() -> None:
    """How many scans of pairs there are, and every kept file or signed record that is not right."""
    at = datetime(2100, 1, 1, tzinfo=UTC)
    say(Document.objects.filter(title=PAIR).count())
    if Document.objects.count() != Document.history.count():  # one row each, in one transaction
        say("Scans and their history are not of one moment.")
    for fault in faults(at=at, start=0, most=how_many(at=at)):
        say(fault)


def next_number() -> None:
    """The number the next message gets; numbers of rows long gone are not given twice."""
    steward = Person.objects.get(full_name="Marit Oldacre")
    say(make_message(person=steward, key="next").pk)


def report() -> None:
    """All of it at once: digest, what is not right, and a few values as Python sees them."""
    digest()
    pairs()
    say(ConditionReport.objects.get().digest, ConditionReport.objects.get().signed_at)
    say(Message.objects.get(key="stays").body.encode(), Word.objects.count())


def report_and_next_number() -> None:
    """The same, and then the number that the next row gets."""
    report()
    next_number()
