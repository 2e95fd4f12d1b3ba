"""The museum's open lists, offered and retired words apart."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Q

from lifecycle.records.models import Vocabulary, Word


@dataclass(frozen=True, slots=True)
class ListLine:
    """One open list with how many words it offers."""

    vocabulary: Vocabulary
    offered: int
    retired: int


def list_lines() -> list[ListLine]:
    """Return every open list, in one query."""
    counts = {
        row["vocabulary"]: row
        for row in Word.objects.values("vocabulary").annotate(
            offered=Count("pk", filter=Q(retired_on=None)),
            retired=Count("pk", filter=Q(retired_on__isnull=False)),
        )
    }
    lines = []
    for one in Vocabulary:
        row = counts.get(one.value)
        lines.append(ListLine(one, row["offered"] if row else 0, row["retired"] if row else 0))
    return lines


def words_in(vocabulary: Vocabulary) -> Sequence[Word]:
    """Return the words of one list, retired ones last."""
    words = Word.objects.filter(vocabulary=vocabulary)
    return sorted(words, key=lambda word: (word.retired_on is not None, word.label.lower()))
