"""Keep many rows at once, each with its entry in the history; take out rows that never should be.

``keep()`` asks the database several questions a row; a table of thousands is written here with a
few a thousand rows. The history written is the same: person, role, moment, reason and words.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any, Final, TypeVar, cast

from django.db import connection, models, transaction

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
    told: dict[str, Any] = {"by": by, "role": role, "why": why, "at": at}
    _write_history(model, [row.pk for row in new], "+", **told)
    _write_history(model, [row.pk for row in changed], "~", **told)


@transaction.atomic
def take_out_all(rows: Sequence[Kept], *, by: Person, role: str, why: str, at: datetime) -> None:
    """Take rows of one table out again; their history stays, with an entry that says so.

    For rows that were made by mistake and on which nothing hangs: the database refuses others.
    """
    if not rows:
        return
    model = type(rows[0])
    keys = [row.pk for row in rows]
    _write_history(model, keys, "-", by=by, role=role, why=why, at=at)
    for field in model._meta.many_to_many:
        through = cast(Any, field.remote_field).through
        _in_batches(through, field.m2m_field_name(), keys)
    _in_batches(model, "pk", keys)


def _in_batches(model: type[models.Model], column: str, keys: Sequence[int]) -> None:
    for piece in _pieces(keys):
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
    for piece in _pieces(keys):
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
    keys: Sequence[int],
    kind: str,
    *,
    by: Person,
    role: str,
    why: str,
    at: datetime,
) -> None:
    """Copy the rows, as they stand in their table now, into its history.

    The database copies them itself: building each entry here would take as long again as writing
    the rows.
    """
    history: Any = cast(Any, model).history.model
    named = [history._meta.get_field(field.name).column for field in history.tracked_fields]
    told = {
        "history_date": history._meta.get_field("history_date").get_db_prep_save(at, connection),
        "history_type": kind,
        "history_user_id": by.pk,
        "history_change_reason": why,
        "history_role": role,
    }
    quote = connection.ops.quote_name
    into = ", ".join(quote(name) for name in (*named, *told))
    what = ", ".join([*(quote(name) for name in named), *["%s"] * len(told)])
    with connection.cursor() as cursor:
        for piece in _pieces(keys):
            marks = ", ".join(["%s"] * len(piece))
            cursor.execute(
                f"INSERT INTO {quote(history._meta.db_table)} ({into}) "  # noqa: S608 - our names
                f"SELECT {what} FROM {quote(model._meta.db_table)} "
                f"WHERE id IN ({marks}) ORDER BY id",
                [*told.values(), *piece],
            )
    for field in history._history_m2m_fields:
        _write_words(history, field, keys)


def _write_words(history: Any, field: Any, keys: Sequence[int]) -> None:
    """Copy the links that the rows have now beside their newest entries."""
    through, own, _ = _columns(field)
    beside: Any = getattr(history, field.name).model
    quote = connection.ops.quote_name
    columns = [str(column.column) for column in through._meta.fields]
    into = ", ".join(quote(name) for name in ("history_id", *columns))
    what = ", ".join(f"link.{quote(name)}" for name in columns)
    entries, links = quote(history._meta.db_table), quote(through._meta.db_table)
    with connection.cursor() as cursor:
        for piece in _pieces(keys):
            marks = ", ".join(["%s"] * len(piece))
            cursor.execute(
                f"INSERT INTO {quote(beside._meta.db_table)} ({into}) "  # noqa: S608 - our names
                f"SELECT entry.newest, {what} FROM {links} AS link JOIN "
                f"(SELECT id, MAX(history_id) AS newest FROM {entries} "
                f"WHERE id IN ({marks}) GROUP BY id) AS entry "
                f"ON entry.id = link.{quote(own)}",
                piece,
            )


def _pieces(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(keys), BATCH):
        yield keys[start : start + BATCH]
