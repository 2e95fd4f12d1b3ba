"""The tables as the database itself has them, whatever the program of today expects.

A backup before an upgrade reads tables that are older than the models of the program; a restored
backup may be older too. So the models used here are those of the migrations that were applied.
"""

from collections.abc import Iterator
from typing import Any, Final

from django.apps import apps
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

Step = tuple[str, str]

# A sign-in that is under way is a key to the house, and worthless tomorrow: never copied.
LEFT_OUT: Final = frozenset({"django_session"})


def applied_steps(connection: BaseDatabaseWrapper) -> list[Step]:
    """Every migration that the database says was applied, as (app, name), in a fixed order."""
    return sorted(MigrationRecorder(connection).applied_migrations())


def unknown_steps(steps: list[Step]) -> list[Step]:
    """Those of the steps that belong to an app of ours and that this program does not know."""
    known = _known(MigrationLoader(None, ignore_no_migrations=True))
    labels = {config.label for config in apps.get_app_configs()}
    return [step for step in steps if step[0] in labels and step not in known]


def _joined(loader: MigrationLoader) -> set[Step]:
    """Every step that a joined one stands for, on disk or not."""
    return {step for migration in loader.disk_migrations.values() for step in migration.replaces}


def _known(loader: MigrationLoader) -> set[Step]:
    return _joined(loader) | set(loader.disk_migrations)


def steps_ahead(connection: BaseDatabaseWrapper) -> list[Step]:
    """Migrations of this program that the database does not have yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [(migration.app_label, migration.name) for migration, _ in plan]


def loader_for(steps: list[Step]) -> MigrationLoader:
    """The migrations as a database with these steps sees them.

    New tables take the one step that joins many; tables that had only some of the many when they
    were kept are made by those, one by one.
    """
    loader = MigrationLoader(None, ignore_no_migrations=True)
    many = _joined(loader)
    some_only = bool(many & set(steps)) and not many <= set(steps)
    return one_by_one() if some_only else loader


def one_by_one() -> MigrationLoader:
    """The migrations without the step that joins many."""
    loader = MigrationLoader(None, ignore_no_migrations=True, replace_migrations=False)
    for step, migration in loader.replacements.items():
        loader.graph.remove_replacement_node(step, migration.replaces)
    return loader


def last_steps(loader: MigrationLoader, steps: list[Step]) -> list[Step]:
    """Those of the applied steps that no other applied step builds on."""
    graph = loader.graph
    given = {step for step in steps if step in graph.node_map}
    return sorted(
        step for step in given if not given & {child.key for child in graph.node_map[step].children}
    )


def build_tables(connection: BaseDatabaseWrapper, steps: list[Step]) -> None:
    """Make the tables as they stood after these steps: no rows of a start, no triggers.

    All at once, from what the steps describe, in place of one step after the other: a hundred times
    faster for tables of long ago.
    """
    loader = loader_for(steps)
    known = _known(loader)
    made = loader.project_state(last_steps(loader, steps)).apps.get_models()
    with connection.schema_editor() as editor:
        for model in made:
            if model._meta.managed and not model._meta.proxy and not model._meta.swapped:
                editor.create_model(model)
    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    for step in steps:
        if step in known:
            recorder.record_applied(*step)


def tables_of(connection: BaseDatabaseWrapper) -> list[type[models.Model]]:
    """The models of every table that is kept, by the migrations that were applied; by name."""
    steps = applied_steps(connection)
    loader = loader_for(steps)
    nodes = last_steps(loader, steps)
    if not nodes:
        return []
    found = loader.project_state(nodes).apps.get_models(include_auto_created=True)
    wanted = [
        model
        for model in found
        if model._meta.managed and not model._meta.proxy and model._meta.db_table not in LEFT_OUT
    ]
    return sorted(wanted, key=lambda model: model._meta.db_table)


def columns_of(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns of a table, in the order of its model."""
    return list(model._meta.concrete_fields)


def rows_of(connection: BaseDatabaseWrapper, model: type[models.Model]) -> Iterator[Any]:
    """Every row of a table as Python values, in the order of its key, read in portions."""
    names = [field.attname for field in columns_of(model)]
    query = model._base_manager.order_by("pk").values_list(*names).query
    compiler = query.get_compiler(connection=connection)
    return iter(compiler.results_iter(chunked_fetch=True, chunk_size=2000))


def last_number(connection: BaseDatabaseWrapper, model: type[models.Model]) -> int:
    """The last row number the database gave out in a table, be the row still there or not."""
    key, table = model._meta.pk, model._meta.db_table
    if not isinstance(key, models.AutoField):
        return 0
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        else:
            cursor.execute(
                "SELECT pg_sequence_last_value(pg_get_serial_sequence(%s, %s)::regclass)",
                [connection.ops.quote_name(table), key.column],
            )
        found = cursor.fetchone()
    return int(found[0] or 0) if found else 0


def set_last_number(
    connection: BaseDatabaseWrapper, model: type[models.Model], number: int
) -> None:
    """Let the next row of a table get the number after this one."""
    key, table = model._meta.pk, model._meta.db_table
    if not isinstance(key, models.AutoField) or number < 1:
        return
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
            cursor.execute(
                "INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, number]
            )
        else:
            cursor.execute(
                "SELECT setval(pg_get_serial_sequence(%s, %s)::regclass, %s)",
                [connection.ops.quote_name(table), key.column, number],
            )


def drop_every_table(connection: BaseDatabaseWrapper) -> None:
    """Empty a database that an unfinished restore has begun to fill; never call it on another."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA foreign_keys = OFF")
        for table in connection.introspection.table_names(cursor):
            cascade = "" if connection.vendor == "sqlite" else " CASCADE"
            cursor.execute(f"DROP TABLE {connection.ops.quote_name(table)}{cascade}")
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA foreign_keys = ON")
