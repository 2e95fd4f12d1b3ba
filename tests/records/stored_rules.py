"""What the database itself has on its books: check constraints and unique rows, read from it.

SQLite keeps the text of its tables, PostgreSQL keeps the expressions; both are put to the test with
rows of a bare copy of the table, which holds every column and no rule.
"""

import csv
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from django.apps import apps
from django.db import connection, models

HERE: Final = Path(__file__).parent
NOTHING: Final = "nothing"
PROBE: Final = "probe_of_rules"

Case = dict[str, str]
"""Columns of one row as they are written in the tables; those not named are empty."""


@dataclass(frozen=True, slots=True)
class Unique:
    """Columns of which no two rows hold the same; ``when`` says which rows count, '' for all."""

    columns: tuple[str, ...]
    when: str


def our_tables() -> dict[str, type[models.Model]]:
    """Every table of records by the name of its model, histories left out."""
    found = apps.get_app_config("records").get_models()
    return {model.__name__: model for model in found if not hasattr(model, "history_id")}


def rows_of(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def cases(text: str) -> list[Case]:
    """``a=1 b=''; nothing`` is two rows: one with two columns, one with none."""
    parts = [part.strip() for part in text.split(";") if part.strip()]
    return [
        {} if part == NOTHING else dict(word.split("=", 1) for word in part.split())
        for part in parts
    ]


def value_of(field: models.Field[Any, Any], text: str) -> Any:
    """The word of a table as the column takes it."""
    kind = field.get_internal_type()
    if field.is_relation or "Integer" in kind or "AutoField" in kind:
        return int(text)
    if kind == "BooleanField":
        return {"true": True, "false": False}[text]
    if kind == "DecimalField":
        return Decimal(text)
    if kind == "DateTimeField":
        return datetime.fromisoformat(text).replace(tzinfo=UTC)
    if kind == "DateField":
        return date.fromisoformat(text)
    if kind == "TimeField":
        return time.fromisoformat(text)
    return json.loads(text) if kind == "JSONField" else text.strip("'")


def checks() -> dict[str, dict[str, str]]:
    """Table → name of each named check → its expression. Those Django names by itself end so."""
    if connection.vendor == "sqlite":
        return {
            table: dict(_checks_in(text))
            for table, text in _asked("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
        }
    found: dict[str, dict[str, str]] = {}
    for table, name, text in _asked(
        "SELECT c.relname, k.conname, pg_get_expr(k.conbin, k.conrelid) FROM pg_constraint k"
        " JOIN pg_class c ON c.oid = k.conrelid JOIN pg_namespace n ON n.oid = c.relnamespace"
        " WHERE k.contype = 'c' AND n.nspname = current_schema()"
    ):
        if not name.endswith("_check"):
            found.setdefault(table, {})[name] = text
    return found


def _checks_in(text: str) -> Iterator[tuple[str, str]]:
    for begun in re.finditer(r'CONSTRAINT "(\w+)" CHECK \(', text):
        yield begun[1], text[begun.end() : _closing(text, begun.end())]


def _closing(text: str, start: int) -> int:
    """Where the bracket closes that was opened before ``start``; words in quotes don't count."""
    depth, quoted = 1, False
    for at in range(start, len(text)):
        quoted ^= text[at] == "'"
        if not quoted:
            depth += {"(": 1, ")": -1}.get(text[at], 0)
        if depth == 0:
            return at
    raise ValueError(f"The bracket at {start} never closes: {text}")


def uniques(table: str) -> set[Unique]:
    """What may stand once in a table, its own key and uid left out."""
    if connection.vendor == "sqlite":
        found = {_unique_of(name, whole) for name, whole in _unique_indexes(table)}
    else:
        found = {
            Unique(tuple(columns), when or "")
            for columns, when in _asked(
                "SELECT array_agg(a.attname::text ORDER BY o.at),"
                " pg_get_expr(i.indpred, i.indrelid)"
                " FROM pg_index i CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS o(key, at)"
                " JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = o.key"
                " WHERE i.indisunique AND i.indrelid = %s::regclass"
                " GROUP BY i.indexrelid, i.indpred, i.indrelid",
                table,
            )
        }
    return {one for one in found if one.columns not in {("id",), ("uid",)}}


def _unique_indexes(table: str) -> Iterator[tuple[str, str]]:
    made = dict(_asked("SELECT name, sql FROM sqlite_master WHERE type = 'index'"))
    for name, unique in _asked('SELECT name, "unique" FROM pragma_index_list(%s)', table):
        if unique:
            yield name, made[name] or ""


def _unique_of(name: str, whole: str) -> Unique:
    columns = tuple(row[0] for row in _asked("SELECT name FROM pragma_index_info(%s)", name))
    return Unique(columns, whole.partition(" WHERE ")[2])


def _asked(question: str, *about: str | int) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(question, about or None)
        return list(cursor.fetchall())


class Probe:
    """A bare copy of one table, in which an expression of the database is asked of given rows."""

    def __init__(self, model: type[models.Model]) -> None:
        self.fields = {field.name: field for field in model._meta.concrete_fields}
        self.number = 0
        none = "WHERE false" if connection.vendor == "postgresql" else "WHERE 0"
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TABLE IF EXISTS {PROBE}")
            cursor.execute(
                f"CREATE TEMPORARY TABLE {PROBE} AS"  # noqa: S608
                f' SELECT *, 0 AS asked_as FROM "{model._meta.db_table}" {none}'
            )

    def answers(self, expression: str, rows: Sequence[Case]) -> list[bool]:
        """Whether a check lets each row pass: it refuses only what is false."""
        return [found is not False for found in self._found(expression, rows)]

    def counts(self, expression: str, rows: Sequence[Case]) -> list[bool]:
        """Whether each row is among those that count: only what is true."""
        return [found is True for found in self._found(expression, rows)]

    def _found(self, expression: str, rows: Sequence[Case]) -> list[bool | None]:
        before = self.number
        for row in rows:
            self.number += 1
            self._put(row)
        found = _asked(
            f"SELECT ({expression.replace('%', '%%')}) FROM {PROBE}"  # noqa: S608
            " WHERE asked_as > %s ORDER BY asked_as",
            before,
        )
        return [None if value is None else bool(value) for (value,) in found]

    def _put(self, row: Case) -> None:
        columns, values = ["asked_as"], [self.number]
        for name, text in row.items():
            field = self.fields[name]
            columns.append(f'"{field.column}"')
            values.append(field.get_db_prep_save(value_of(field, text), connection))
        with connection.cursor() as cursor:
            cursor.execute(
                f"INSERT INTO {PROBE} ({', '.join(columns)}) "  # noqa: S608
                f"VALUES ({', '.join(['%s'] * len(values))})",
                values,
            )
