"""The museum's open lists: add a word, better its definition, retire it, bring it back."""

from datetime import datetime

from django.db import transaction
from django.utils.text import slugify

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person, Vocabulary, Word


@transaction.atomic
def add_word(
    *,
    by: Person,
    role: Role,
    at: datetime,
    vocabulary: Vocabulary,
    label: str,
    definition: str = "",
    group: str = "",
    external_identifier: str = "",
) -> Word:
    """Add a word to a list; its code is made from the label and never changes."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    label = label.strip()
    _check(vocabulary, label, besides=None)
    words = Word.objects.filter(vocabulary=vocabulary)
    stem = slugify(label)[:50] or "word"
    taken = set(words.filter(code__startswith=stem).values_list("code", flat=True))
    tries = (f"{stem}-{number}" for number in range(2, len(taken) + 3))
    code = stem if stem not in taken else next(one for one in tries if one not in taken)
    word = Word(
        vocabulary=vocabulary,
        code=code,
        label=label,
        definition=definition.strip(),
        group=group.strip(),
        external_identifier=external_identifier.strip(),
    )
    return word.keep(by=by, role=role, why="Word added.", at=at)


@transaction.atomic
def change_word(
    *,
    by: Person,
    role: Role,
    at: datetime,
    word: Word,
    label: str,
    definition: str,
    group: str,
    external_identifier: str,
    why: str,
) -> Word:
    """Better a word. Signed records keep the words they were signed with."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Word.objects.select_for_update().get(pk=word.pk)
    _check(Vocabulary(stored.vocabulary), label.strip(), besides=stored.pk)
    if not why.strip():
        raise Refused(Reason("Say why the word changes.", "why"))
    stored.label, stored.definition = label.strip(), definition.strip()
    stored.group, stored.external_identifier = group.strip(), external_identifier.strip()
    return stored.keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def retire_word(*, by: Person, role: Role, at: datetime, word: Word, why: str) -> Word:
    """Offer the word no longer; records that use it keep it."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Word.objects.select_for_update().get(pk=word.pk)
    if stored.retired_on is not None:
        raise Refused(f"“{stored.label}” is retired already.")
    if not why.strip():
        raise Refused(Reason("Say why the word is retired.", "why"))
    stored.retired_on = museum_day(at)
    return stored.keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def bring_word_back(*, by: Person, role: Role, at: datetime, word: Word) -> Word:
    """Offer a retired word again."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Word.objects.select_for_update().get(pk=word.pk)
    if stored.retired_on is None:
        raise Refused(f"“{stored.label}” is offered already.")
    stored.retired_on = None
    return stored.keep(by=by, role=role, why="Brought back.", at=at)


def _check(vocabulary: Vocabulary, label: str, *, besides: int | None) -> None:
    if not label:
        raise Refused(Reason("Write the word as people will read it.", "label"))
    twins = Word.objects.filter(vocabulary=vocabulary, label__iexact=label).exclude(pk=besides or 0)
    if twins.exists():
        raise Refused(Reason(f"“{label}” is in the list {vocabulary.label} already.", "label"))
