"""The text behind the digest at the foot of a print, and whether each print still gives its own."""

from collections.abc import Iterator

from lifecycle.papers.filling.any_paper import RECORDS
from lifecycle.papers.printed import words_of
from lifecycle.papers.words.stored import WordsFault, plain_text
from lifecycle.queries.signed_text.registry import digest_of
from lifecycle.records.models import PaperKind, Print
from lifecycle.records.signable import Signable

PORTION = 200


def stamped_text(row: Print) -> str:
    """The canonical text of a print: the signed words of its record, else the words it carries.

    SHA-256 over it in UTF-8 gives the digest whose first ten characters stand on every page.

    :raises WordsFault: when the row is damaged
    """
    model = RECORDS[PaperKind(row.paper)]
    if issubclass(model, Signable):
        signed = model.objects.filter(uid=row.record_uid, digest=row.digest).first()
        if isinstance(signed, Signable):
            return signed.signed_text
    return plain_text(words_of(row.paper, row.words))


def print_faults() -> tuple[int, list[str]]:
    """Compute the digest of every print again; how many there are, and what is wrong, in words."""
    checked = 0
    found: list[str] = []
    for row in Print.objects.order_by("pk").iterator(chunk_size=PORTION):
        checked += 1
        found += faults_of_print(row)
    return checked, found


def faults_of_print(row: Print) -> Iterator[str]:
    """What is wrong with one print: words that can't be read, or that give another digest."""
    try:
        text = stamped_text(row)
    except WordsFault as fault:
        yield f"Print {row.print_no}: {fault}"
        return
    if digest_of(text) != row.digest:
        yield f"Print {row.print_no}: its words no longer give the digest that stands on it."
