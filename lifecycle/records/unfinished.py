"""A mark in the database itself: something was begun here that must end before anyone works.

It is a table of its own outside the migrations, since it must stand before the first of them and
be found by every host, whichever began the restore or the upgrade.
"""

from dataclasses import dataclass
from typing import Final

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

TABLE: Final = "showrest_unfinished"
RESTORE: Final = "restore"
UPGRADE: Final = "upgrade"


@dataclass(frozen=True, slots=True)
class Unfinished:
    """What was begun (restore or upgrade), when in UTC as text, and from what."""

    deed: str
    begun: str
    source: str


def begin(connection: BaseDatabaseWrapper, mark: Unfinished) -> None:
    """Set the mark; it stands until :func:`end`, through any death of the process."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE IF NOT EXISTS {TABLE} (deed text, begun text, source text)")
        cursor.execute(f"DELETE FROM {TABLE}")  # noqa: S608 - our own name
        cursor.execute(
            f"INSERT INTO {TABLE} VALUES (%s, %s, %s)",  # noqa: S608 - our own name
            [mark.deed, mark.begun, mark.source],
        )


def found(connection: BaseDatabaseWrapper) -> Unfinished | None:
    """The mark of a restore or an upgrade that never ended, if there is one."""
    with connection.cursor() as cursor:
        if TABLE not in connection.introspection.table_names(cursor):
            return None
        cursor.execute(f"SELECT deed, begun, source FROM {TABLE}")  # noqa: S608 - our own name
        row = cursor.fetchone()
    return Unfinished(*row) if row else None


def end(connection: BaseDatabaseWrapper) -> None:
    """Take the mark away: what was begun is whole."""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE IF EXISTS {TABLE}")
