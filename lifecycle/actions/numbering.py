"""Numbers of records: one running count per prefix, never used twice."""

from typing import Final

from django.db import transaction

from lifecycle.records.models import Counter

WIDTH: Final = {"PR": 5}


@transaction.atomic
def next_number(prefix: str) -> str:
    """Give out the next number of ``prefix``, such as ``TP-0031``.

    The counter's row is locked until the caller's transaction ends, so two people never get the
    same number and a refused action gives its number back.
    """
    counter, _ = Counter.objects.select_for_update().get_or_create(prefix=prefix)
    counter.last += 1
    counter.save(update_fields=["last"])
    return f"{prefix}-{counter.last:0{WIDTH.get(prefix, 4)}d}"
