"""What every museum starts from: its name and zone, and the starting vocabulary."""

from datetime import datetime

from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.starting_words import starting_words
from lifecycle.records.models import Museum, PaperSize, Word


@transaction.atomic
def start_museum(
    *,
    name: str,
    zone: str,
    is_demo: bool,
    at: datetime,
    paper_size: PaperSize = PaperSize.A4,
) -> Museum:
    """Write the museum and the open lists it begins with; refused where a museum stands already."""
    taken = Reason("This installation has its museum already.")
    if Museum.objects.exists():
        raise Refused(taken)
    why = "The museum starts with Showrest."
    museum = Museum(name=name, zone=zone, is_demo=is_demo, paper_size=paper_size)
    try:
        # Two beginnings at once: the database lets one of them in.
        with transaction.atomic():
            museum.keep(by=None, role="", why=why, at=at)
    except IntegrityError:
        raise Refused(taken) from None
    write_starting_words(at=at)
    return museum


@transaction.atomic
def write_starting_words(*, at: datetime) -> int:
    """Add the starting words that are missing; words the museum has edited stay as they are."""
    known = set(Word.objects.values_list("vocabulary", "code"))
    missing = [word for word in starting_words() if (word.vocabulary, word.code) not in known]
    for word in missing:
        Word(
            vocabulary=word.vocabulary,
            code=word.code,
            label=word.label,
            group=word.group,
            definition=word.definition,
        ).keep(by=None, role="", why="Starting vocabulary.", at=at)
    return len(missing)
