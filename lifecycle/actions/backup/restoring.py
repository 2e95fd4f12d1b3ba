"""Rebuild a museum's records from a backup, into a database and a file store that are empty.

A mark in the database stands from before the first table until everything has been checked. While
it stands nothing else of the house runs on that database, and the restore can be begun again.
"""

import gzip
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection, models, transaction

from lifecycle.actions.backup.making import Tell
from lifecycle.exchange.backup import folder as form
from lifecycle.exchange.backup.lines import (
    Digest,
    UnknownColumn,
    digest_of_all,
    kind_of,
    readers_of,
)
from lifecycle.queries.integrity import signed_faults
from lifecycle.queries.pictures import stored_files
from lifecycle.records import tables, unfinished
from lifecycle.records.triggers import missing_triggers

AT_ONCE: Final = 500


class NotRestored(Exception):
    """The restore was refused or broken off; the text says why, and what stands now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What was rebuilt, and every signed record that no longer is what was signed."""

    about: form.About
    signed: int
    faults: list[str]
    later_steps: int


def check_backup(folder: Path, *, tell: Tell) -> form.About:
    """Read every file of a backup and compare it with the list of checksums.

    :raises BadBackup: naming the first file that is missing or damaged, and how many are
    """
    about = form.read_about(folder)
    if unknown := tables.unknown_steps(about.steps):
        app, name = unknown[0]
        raise form.BadBackup(
            f"{folder} was made by a newer version of Showrest ({about.program}; its tables have "
            f"the step {app} {name}, which this version does not know). Install that version and "
            "restore with it."
        )
    sums = form.read_sums(folder)

    def told(done: int, total: int) -> None:
        tell("checking the backup", done, total)

    wrong = form.faults_of_list(about, sums)
    wrong += [text for _, text in form.check_files(folder, sums, tell=told)]
    if wrong:
        more = f" ({len(wrong)} files differ in all.)" if len(wrong) > 1 else ""
        raise form.BadBackup(f"{wrong[0]}{more} Nothing was restored.")
    return about


def refuse_unless_empty(*, with_files: bool) -> None:
    """Refuse a database with tables, or a store with files, that no restore has begun to fill.

    :raises NotRestored: in words; nothing has been changed
    """
    mark = unfinished.found(connection)
    if mark and mark.deed == unfinished.RESTORE:
        return
    if connection.introspection.table_names():
        raise NotRestored(
            "The database is not empty, so nothing was written and nothing was changed. Name a "
            "new folder in SHOWREST_DATA, or an empty database."
        )
    if with_files and next(stored_files(), None) is not None:
        raise NotRestored(
            "The folder of pictures and scans is not empty, so nothing was written and nothing "
            "was changed. Name a new folder in SHOWREST_DATA or SHOWREST_MEDIA."
        )


def restore(*, folder: Path, at: datetime, tell: Tell, with_files: bool = True) -> Restored:
    """Check a backup, rebuild tables, rows and files from it, and check what was rebuilt.

    ``with_files`` False rebuilds the database alone: for the proof of a backup, and for a move.

    :raises BadBackup: the backup is damaged, cut off, or of a newer version
    :raises NotRestored: the place is not empty, or what was rebuilt differs from the backup
    """
    about = check_backup(folder, tell=tell)
    refuse_unless_empty(with_files=with_files)
    if unfinished.found(connection):
        tables.drop_every_table(connection)
    begun = at.astimezone(UTC).isoformat()
    unfinished.begin(
        connection,
        unfinished.Unfinished(unfinished.RESTORE, begun, str(folder)),
    )
    tell("tables", 0, len(about.tables))
    tables.build_tables(connection, about.steps)
    try:
        _fill(folder, about, tell)
    except (DatabaseError, UnknownColumn, ValueError) as trouble:
        raise NotRestored(f"The rows could not be written: {trouble}. {BEGIN_AGAIN}") from trouble
    _compare(about, tell)
    if with_files:
        _files(folder, tell)
    later = len(tables.steps_ahead(connection))
    tell("upgrading the tables", 0, later)
    tables.catch_up(connection)  # makes the triggers, too
    tell("signed records", 0, 0)
    signed, faults = signed_faults()
    faults += [f"The trigger {name} is missing." for name in missing_triggers(connection)]
    unfinished.end(connection)
    return Restored(about=about, signed=signed, faults=faults, later_steps=later)


BEGIN_AGAIN: Final = "Nothing runs on this database until the restore is begun again and ends."


def _fill(folder: Path, about: form.About, tell: Tell) -> None:
    """Write the rows of every table in one transaction; keys are checked at its end."""
    by_name = {model._meta.db_table: model for model in tables.tables_of(connection)}
    if missing := {table.name for table in about.tables} ^ set(by_name):
        raise NotRestored(f"The tables differ from the backup's: {sorted(missing)[0]}.")
    with transaction.atomic():
        with connection.cursor() as cursor:
            for model in by_name.values():  # rows that a step of an upgrade has put there
                name = connection.ops.quote_name(model._meta.db_table)
                cursor.execute(f"DELETE FROM {name}")  # noqa: S608 - our own name
        for number, table in enumerate(about.tables):
            tell("rows", number, len(about.tables))
            model = by_name[table.name]
            _fill_one(model, _lines(folder / form.table_name(table.name)), table)
            tables.set_last_number(connection, model, table.last_number)
        connection.check_constraints()


def _lines(path: Path) -> Iterator[list[Any]]:
    with gzip.open(path, "rt", encoding="utf-8", newline="\n") as file:
        for line in file:
            yield json.loads(line)


def _fill_one(model: type[models.Model], rows: Iterator[list[Any]], table: form.Table) -> None:
    if {field.column for field in tables.columns_of(model)} != set(table.columns):
        raise NotRestored(f"The columns of {table.name} differ from the backup's.")
    in_order = tables.columns_of(model, table.columns)
    writers = [
        _writer(field, read) for field, read in zip(in_order, readers_of(in_order), strict=True)
    ]

    def ready(row: list[Any]) -> list[Any]:
        return [
            value if write is None or value is None else write(value)
            for write, value in zip(writers, row, strict=True)
        ]

    quoted = connection.ops.quote_name
    columns = ", ".join(quoted(column) for column in table.columns)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {quoted(table.name)} ({columns}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(ready(row))
            return
        places = ", ".join(["%s"] * len(in_order))
        into = f"{quoted(table.name)} ({columns})"
        statement = f"INSERT INTO {into} VALUES ({places})"  # noqa: S608 - our models' own names
        portion: list[list[Any]] = []
        for row in rows:
            portion.append(ready(row))
            if len(portion) == AT_ONCE:
                cursor.executemany(statement, portion)
                portion = []
        if portion:
            cursor.executemany(statement, portion)


def _writer(
    field: models.Field[Any, Any], read: Callable[[Any], Any] | None
) -> Callable[[Any], Any] | None:
    """What turns a column's JSON value into the database's own; None: it is so already."""
    if read is None and kind_of(field) != "JSONField":
        return None
    return lambda value: field.get_db_prep_save(read(value) if read else value, connection)


def digests(
    tell: Tell, order: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> list[tuple[str, int, str]]:
    """Name, rows and digest of every table of this database, as a backup would give them.

    ``order`` names the columns of a table as a backup has them: a row is summed up in that order.
    """
    found = []
    models = tables.tables_of(connection)
    with transaction.atomic():
        for number, model in enumerate(models):
            tell("comparing", number, len(models))
            columns = tables.columns_of(model, order.get(model._meta.db_table, ()))
            digest = Digest(columns)
            for row in tables.rows_of(connection, model, columns):
                digest.add(row)
            found.append((model._meta.db_table, digest.rows, digest.hex()))
    return found


def _compare(about: form.About, tell: Tell) -> None:
    """Read every table back and compare counts and digests with the backup's."""
    wanted = {table.name: table for table in about.tables}
    found = digests(tell, {table.name: table.columns for table in about.tables})
    for name, rows, digest in found:
        table = wanted[name]
        if rows != table.rows:
            raise NotRestored(
                f"{name} has {rows} rows here and {table.rows} in the backup. {BEGIN_AGAIN}"
            )
        if digest != table.digest:
            raise NotRestored(f"The rows of {name} differ from the backup's. {BEGIN_AGAIN}")
    if digest_of_all(found) != about.digest:
        raise NotRestored(f"The digest of all tables differs from the backup's. {BEGIN_AGAIN}")


def _files(folder: Path, tell: Tell) -> None:
    """Put every kept file into the store; one that a broken-off restore put there is replaced."""
    prefix = f"{form.FILES}/"
    sums = {
        name: digest for name, digest in form.read_sums(folder).items() if name.startswith(prefix)
    }
    for number, (name, digest) in enumerate(sorted(sums.items())):
        tell("files", number, len(sums))
        stored = name.removeprefix(prefix)
        if default_storage.exists(stored):
            default_storage.delete(stored)
        with (folder / name).open("rb") as file:
            written = default_storage.save(stored, File(file))
        if written != stored or _digest_of_stored(stored) != digest:
            raise NotRestored(f"{stored} could not be put back as it was. {BEGIN_AGAIN}")


def _digest_of_stored(stored: str) -> str:
    with default_storage.open(stored) as file:
        return form.sha256_of_open(file)
