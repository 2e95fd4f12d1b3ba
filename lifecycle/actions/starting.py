"""What every museum starts from: its name and zone, and the starting vocabulary."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.starting_words import starting_words
from lifecycle.records.models import Museum, Word


@transaction.atomic
def start_museum(*, name: str, zone: str, is_demo: bool, at: datetime) -> Museum:
    """Write the museum and the open lists it begins with; refused where a museum stands already."""
    if Museum.objects.exists():
        raise Refused(Reason("This installation has its museum already."))
    why = "The museum starts with Showrest."
    museum = Museum(name=name, zone=zone, is_demo=is_demo).keep(by=None, role="", why=why, at=at)
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
