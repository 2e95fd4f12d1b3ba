"""Rows of a table as lines of text that say the same whichever database they came from.

One row is one JSON array in UTF-8 (RFC 8259) on one line: instants in UTC and days as in ISO 8601,
decimals as text with all their places, identifiers as in RFC 9562.
"""

import base64
import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from django.db import models

Field = models.Field[Any, Any]

AS_THEY_ARE: Final = frozenset(
    {
        *("CharField", "TextField", "SlugField", "BooleanField", "JSONField", "FloatField"),
        *("AutoField", "BigAutoField", "SmallAutoField", "IntegerField", "BigIntegerField"),
        *("SmallIntegerField", "PositiveIntegerField", "PositiveSmallIntegerField"),
        *("PositiveBigIntegerField", "EmailField", "URLField", "FileField", "FilePathField"),
    }
)


class UnknownColumn(Exception):
    """A column of a kind that backups have not been taught to keep."""


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode("ascii")
    raise UnknownColumn(f"A {type(value).__name__} can't be written into a backup.")


def line_of(row: Sequence[Any], *, sort: bool = False) -> bytes:
    """Return a row as one line, without its end; ``sort`` puts the keys of objects in order."""
    text = json.dumps(
        row, default=_plain, ensure_ascii=False, separators=(",", ":"), sort_keys=sort
    )
    return text.encode()


def kind_of(field: Field) -> str:
    """Return Django's name of a column's kind; of what a foreign key holds, not of the key."""
    while isinstance(field, models.ForeignKey):
        field = field.target_field
    return field.get_internal_type()


class Digest:
    """The SHA-256 of a table's rows, the same on both databases.

    One of them keeps the keys of a JSON object in its own order and whole numbers without a
    point, so both are put in order here before they are counted in.
    """

    def __init__(self, fields: Sequence[Field]) -> None:
        self.json_at = [at for at, field in enumerate(fields) if kind_of(field) == "JSONField"]
        self.sum = hashlib.sha256()
        self.rows = 0

    def add(self, row: Sequence[Any], line: bytes | None = None) -> None:
        """Count a row in; ``line`` is the row's own line where it is known already."""
        if self.json_at:
            values = list(row)
            for at in self.json_at:
                values[at] = _in_order(values[at])
            line = line_of(values, sort=True)
        self.sum.update(line or line_of(row))
        self.sum.update(b"\n")
        self.rows += 1

    def hex(self) -> str:
        return self.sum.hexdigest()


def _in_order(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _in_order(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_in_order(inner) for inner in value]
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value


def digest_of_all(tables: Iterable[tuple[str, int, str]]) -> str:
    """Return one SHA-256 over the names, row counts and digests of all tables."""
    lines = "".join(f"{name} {rows} {digest}\n" for name, rows, digest in sorted(tables))
    return hashlib.sha256(lines.encode()).hexdigest()


def readers_of(fields: Sequence[Field]) -> list[Callable[[Any], Any] | None]:
    """Return for each column what turns its JSON value into Python's; None: it is so already.

    :raises UnknownColumn: for a kind of column that backups have not been taught to keep
    """
    return [_reader(field) for field in fields]


def _reader(field: Field) -> Callable[[Any], Any] | None:
    kind = kind_of(field)
    if kind in AS_THEY_ARE:
        return None
    if kind in {"DateTimeField", "DateField", "TimeField", "DecimalField", "UUIDField"}:
        return field.to_python
    if kind == "BinaryField":
        return base64.b64decode
    raise UnknownColumn(f"{field.model.__name__}.{field.name} is a {kind}: backups can't keep it.")
