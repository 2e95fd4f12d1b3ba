"""The whole database as it stood at one moment, read while people go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper


@contextmanager
def snapshot() -> Iterator[BaseDatabaseWrapper]:
    """Give a connection of its own that sees one moment for as long as it is open.

    Nobody waits for it: SQLite writes ahead beside a reader, PostgreSQL keeps the older rows.
    What is written after the first look is not seen. Only to be read from.
    """
    apart = connection.copy()
    try:
        with apart.cursor() as cursor:
            if apart.vendor == "sqlite":
                cursor.execute("BEGIN DEFERRED")
            else:
                cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            # The moment is the first look, not the beginning.
            apart.introspection.table_names(cursor)
        yield apart
    finally:
        apart.close()
