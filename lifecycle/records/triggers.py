"""Database triggers, as data: what is written once stays, what is signed stays.

The text for SQLite and for PostgreSQL stands side by side. They are taken off before and re-made
after **every** migrate, because SQLite drops a table's triggers when Django rebuilds the table and
refuses to rename a table that another table's trigger reads.

This module is loaded before the tables are, so it reads marks on the models and imports none.
Four kinds of table are found by what their models say:

- ``AppendOnly`` models: no UPDATE, no DELETE.
- ``Signable`` models: no UPDATE, no DELETE once ``digest`` is filled.
- models with ``rests_on``: no INSERT without what ``records/resting.py`` names.
- rows with ``frozen_with = "<foreign key>"``, and the plain many-to-many tables of a signable
  model: no INSERT, UPDATE, DELETE below a signed record.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from django.apps import AppConfig, apps
from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

from lifecycle.records.resting import Rests

PREFIX: Final = "keep_"
WRITTEN_ONCE: Final = "This row is written once: a correction is a new row."
SIGNED: Final = "This record is signed: a correction is a new version."
PART_OF_SIGNED: Final = "This row belongs to a signed record: a correction is a new version."


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """One trigger on one table. ``when`` is SQL over OLD and NEW, empty for always."""

    table: str
    event: str  # INSERT, UPDATE, DELETE; TRUNCATE on PostgreSQL alone
    when: str
    message: str
    what: str = ""  # tells apart several of one event

    @property
    def name(self) -> str:
        end = f"_{self.what}" if self.what else ""
        return f"{PREFIX}{self.table}_{self.event.lower()}{end}"[:63]

    def sqlite(self) -> list[str]:
        """The statements that make it on SQLite."""
        if self.event == "TRUNCATE":
            return []  # SQLite has no TRUNCATE
        when = f" WHEN {self.when}" if self.when else ""
        return [
            f'CREATE TRIGGER "{self.name}" BEFORE {self.event} ON "{self.table}" FOR EACH ROW'
            f"{when} BEGIN SELECT RAISE(ABORT, '{self.message}'); END"
        ]

    def postgresql(self) -> list[str]:
        """The statements that make it on PostgreSQL; 23514 makes Django raise IntegrityError."""
        level = "STATEMENT" if self.event == "TRUNCATE" else "ROW"
        when = f" WHEN ({self.when})" if self.when and not self._asks_another_table else ""
        test = f"IF NOT ({self.when}) THEN RETURN {self._row}; END IF; " if self._tests else ""
        return [
            f'CREATE OR REPLACE FUNCTION "{self.name}"() RETURNS trigger LANGUAGE plpgsql AS '
            f"$keep$ BEGIN {test}RAISE EXCEPTION '{self.message}' USING ERRCODE = '23514'; "
            f"END $keep$",
            f'CREATE TRIGGER "{self.name}" BEFORE {self.event} ON "{self.table}" FOR EACH {level}'
            f'{when} EXECUTE FUNCTION "{self.name}"()',
        ]

    @property
    def _asks_another_table(self) -> bool:
        return "SELECT" in self.when  # PostgreSQL allows no subquery in WHEN

    @property
    def _tests(self) -> bool:
        return bool(self.when) and self._asks_another_table

    @property
    def _row(self) -> str:
        return "OLD" if self.event == "DELETE" else "NEW"


def triggers() -> list[Trigger]:
    """Every trigger that the tables of today need, in the order of their tables."""
    found: list[Trigger] = []
    for model in apps.get_app_config("records").get_models():
        if getattr(model, "written_once", False):
            found += _written_once(model._meta.db_table)
        if getattr(model, "freezes_whole", False):
            found += _signed(model)
        for rests in getattr(model, "rests_on", ()):
            found.append(_resting(model._meta.db_table, rests))
        if field_name := getattr(model, "frozen_with", ""):
            field = model._meta.get_field(field_name)
            found += _part(model._meta.db_table, field)
    return sorted(found, key=lambda trigger: trigger.name)


def _written_once(table: str) -> Iterator[Trigger]:
    for event in ("UPDATE", "DELETE", "TRUNCATE"):
        yield Trigger(table=table, event=event, when="", message=WRITTEN_ONCE)


def _signed(model: type[models.Model]) -> Iterator[Trigger]:
    table = model._meta.db_table
    for event in ("UPDATE", "DELETE"):
        yield Trigger(table=table, event=event, when="OLD.digest <> ''", message=SIGNED)
    yield Trigger(table=table, event="TRUNCATE", when="", message=SIGNED)
    for many in model._meta.local_many_to_many:
        through = many.remote_field.through
        if through is not None and through._meta.auto_created:
            back = through._meta.get_field(many.m2m_field_name())
            yield from _part(through._meta.db_table, back)


def _resting(table: str, rests: Rests) -> Trigger:
    return Trigger(
        table=table, event="INSERT", when=rests.missing, message=rests.said, what=rests.name
    )


def _part(table: str, field: Any) -> Iterator[Trigger]:
    parent, column = field.related_model._meta.db_table, field.column

    def signed(row: str) -> str:
        # Names of our own tables and columns, never a person's text.
        return (
            f'EXISTS (SELECT 1 FROM "{parent}" AS parent'  # noqa: S608 - see above
            f" WHERE parent.id = {row}.\"{column}\" AND parent.digest <> '')"
        )

    both = f"{signed('OLD')} OR {signed('NEW')}"
    for event, when in (("INSERT", signed("NEW")), ("UPDATE", both), ("DELETE", signed("OLD"))):
        yield Trigger(table=table, event=event, when=when, message=PART_OF_SIGNED)


def make_triggers(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger anew; calling it twice changes nothing."""
    lift_triggers(connection)
    tables = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for trigger in triggers():
            if trigger.table in tables:
                for statement in _statements(trigger, connection):
                    cursor.execute(statement)


def _statements(trigger: Trigger, connection: BaseDatabaseWrapper) -> list[str]:
    return trigger.sqlite() if connection.vendor == "sqlite" else trigger.postgresql()


def lift_triggers(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger of ours off: for a migrate, and for tests that empty the tables."""
    with connection.cursor() as cursor:
        for name, table in _standing(connection):
            if connection.vendor == "sqlite":
                cursor.execute(f'DROP TRIGGER "{name}"')
            else:
                cursor.execute(f'DROP TRIGGER "{name}" ON "{table}"')
                cursor.execute(f'DROP FUNCTION "{name}"()')


def _standing(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    if connection.vendor == "sqlite":
        query = "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s"
    else:
        query = (
            "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid"
            " JOIN pg_namespace n ON n.oid = c.relnamespace"
            " WHERE NOT t.tgisinternal AND n.nspname = current_schema() AND t.tgname LIKE %s"
        )
    with connection.cursor() as cursor:
        cursor.execute(query, [f"{PREFIX.replace('_', '')}%"])
        return [(name, table) for name, table in cursor.fetchall() if name.startswith(PREFIX)]


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Names of triggers that should stand and don't; the health page shows them."""
    standing = {name for name, _table in _standing(connection)}
    needed = {trigger.name for trigger in triggers() if _statements(trigger, connection)}
    return sorted(needed - standing)


def lift_before_migrate(sender: AppConfig, using: str, **_: Any) -> None:
    """Receiver of ``pre_migrate``, connected in ``apps.py``."""
    if sender.label == "records":
        lift_triggers(connections[using])


def make_after_migrate(sender: AppConfig, using: str, **_: Any) -> None:
    """Receiver of ``post_migrate``, connected in ``apps.py``."""
    if sender.label == "records":
        make_triggers(connections[using])
