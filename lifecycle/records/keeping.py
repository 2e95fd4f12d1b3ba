"""Keep many rows at once, each with its entry in the history; take out rows that never should be.

``keep()`` asks the database several questions a row; a table of thousands is written here with a
few a thousand rows. The history written is the same: person, role, moment, reason and words.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final, TypeVar, cast

from django.db import models, transaction

from lifecycle.records.base import Coded, Kept, short_code
from lifecycle.records.models.people import Person

K = TypeVar("K", bound=Kept)

#: Rows in one statement; SQLite and PostgreSQL both bound the values a statement may carry.
BATCH: Final = 500
CHANGED_BATCH: Final = 100


@transaction.atomic
def keep_all(
    rows: Sequence[K],
    *,
    by: Person,
    role: str,
    why: str,
    at: datetime,
    fields: Sequence[str] = (),
    words: Mapping[str, Sequence[Sequence[int]]] | None = None,
) -> None:
    """Write rows of one table, new and changed ones, with one history entry each.

    :param fields: the columns that changed rows are written in; new rows are written whole
    :param words: for a list of words (a many-to-many column), the keys each row shall have, in
        the order of ``rows``
    """
    if not rows:
        return
    model = type(rows[0])
    plain: models.QuerySet[K] = models.QuerySet(model=model)
    new = [row for row in rows if row.pk is None]
    changed = [row for row in rows if row.pk is not None]
    _give_codes(model, new)
    plain.bulk_create(new, batch_size=BATCH)
    if fields and changed:
        plain.bulk_update(changed, fields, batch_size=CHANGED_BATCH)
    for name, keys in (words or {}).items():
        _link(model, name, dict(zip([row.pk for row in rows], keys, strict=True)))
    made = {id(row) for row in new}
    kinds = ["+" if id(row) in made else "~" for row in rows]
    _write_history(model, rows, kinds, by=by, role=role, why=why, at=at)


@transaction.atomic
def take_out_all(rows: Sequence[Kept], *, by: Person, role: str, why: str, at: datetime) -> None:
    """Take rows of one table out again; their history stays, with an entry that says so.

    For rows that were made by mistake and on which nothing hangs: the database refuses others.
    """
    if not rows:
        return
    model = type(rows[0])
    _write_history(model, rows, ["-"] * len(rows), by=by, role=role, why=why, at=at)
    keys = [row.pk for row in rows]
    for field in model._meta.many_to_many:
        through = cast(Any, field.remote_field).through
        _in_batches(through, field.m2m_field_name(), keys)
    _in_batches(model, "pk", keys)


def _in_batches(model: type[models.Model], column: str, keys: Sequence[int]) -> None:
    for start in range(0, len(keys), BATCH):
        piece = keys[start : start + BATCH]
        plain: models.QuerySet[Any] = models.QuerySet(model=model)
        plain.filter(**{f"{column}__in": piece})._raw_delete(plain.db)


def _give_codes(model: type[Kept], rows: Sequence[Kept]) -> None:
    """Give each row its short code; rows whose code is taken get another address first."""
    if not issubclass(model, Coded):
        return
    plain: models.QuerySet[Any] = models.QuerySet(model=model)
    open_rows = [row for row in rows if not cast(Any, row).code]
    given: set[str] = set()
    while open_rows:
        codes = [short_code(row.uid) for row in open_rows]
        taken = set(given)
        for start in range(0, len(codes), BATCH):
            taken.update(
                plain.filter(code__in=codes[start : start + BATCH]).values_list("code", flat=True)
            )
        again = []
        for row, code in zip(open_rows, codes, strict=True):
            if code in taken:
                row.uid = cast(Any, model._meta.get_field("uid")).get_default()
                again.append(row)
            else:
                cast(Any, row).code = code
                taken.add(code)
                given.add(code)
        open_rows = again


def _link(model: type[Kept], name: str, wanted: Mapping[int, Sequence[int]]) -> None:
    """Make the links of one list of words exactly those wanted."""
    field = cast(Any, model._meta.get_field(name))
    through, own, other = _columns(field)
    plain: models.QuerySet[Any] = models.QuerySet(model=through)
    keys = list(wanted)
    there: dict[int, dict[int, int]] = defaultdict(dict)
    for start in range(0, len(keys), BATCH):
        piece = keys[start : start + BATCH]
        rows = plain.filter(**{f"{own}__in": piece}).values_list(own, other, "pk")
        for key, word, link in rows:
            there[key][word] = link
    gone = [
        link
        for key, words in wanted.items()
        for word, link in there[key].items()
        if word not in set(words)
    ]
    _in_batches(through, "pk", gone)
    plain.bulk_create(
        [
            through(**{own: key, other: word})
            for key, words in wanted.items()
            for word in dict.fromkeys(words)
            if word not in there[key]
        ],
        batch_size=BATCH,
    )


def _columns(field: Any) -> tuple[type[models.Model], str, str]:
    """The table of links of a many-to-many column and its two columns."""
    through = field.remote_field.through
    own = through._meta.get_field(field.m2m_field_name()).attname
    other = through._meta.get_field(field.m2m_reverse_field_name()).attname
    return through, own, other


def _write_history(
    model: type[Kept],
    rows: Sequence[Kept],
    kinds: Sequence[str],
    *,
    by: Person,
    role: str,
    why: str,
    at: datetime,
) -> None:
    history: Any = cast(Any, model).history.model
    names = [field.attname for field in history.tracked_fields]
    entries = [
        history(
            history_date=at,
            history_type=kind,
            history_user=by,
            history_change_reason=why,
            history_role=role,
            **{name: getattr(row, name) for name in names},
        )
        for row, kind in zip(rows, kinds, strict=True)
    ]
    history.objects.bulk_create(entries, batch_size=BATCH)
    for field in history._history_m2m_fields:
        _write_words(history, field, {row.pk: e for row, e in zip(rows, entries, strict=True)})


def _write_words(history: Any, field: Any, entries: Mapping[int, Any]) -> None:
    """Copy the links that the rows have now beside their entries."""
    through, own, _ = _columns(field)
    beside: Any = getattr(history, field.name).model
    names = [column.attname for column in through._meta.fields]
    plain: models.QuerySet[Any] = models.QuerySet(model=through)
    keys = list(entries)
    copies = []
    for start in range(0, len(keys), BATCH):
        links = plain.filter(**{f"{own}__in": keys[start : start + BATCH]}).order_by("pk")
        for link in links.values(*names):
            copies.append(beside(history=entries[link[own]], **link))
    beside.objects.bulk_create(copies, batch_size=BATCH)
