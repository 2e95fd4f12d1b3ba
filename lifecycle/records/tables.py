"""The tables as the database itself has them, whatever the program of today expects.

A backup before an upgrade reads tables that are older than the models of the program; a restored
backup may be older too. So the models used here are those of the migrations that were applied;
where every one was applied, these are the models of the program (CI asks whether both agree).
"""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.apps import apps
from django.core.management import call_command
from django.core.management.sql import emit_post_migrate_signal, emit_pre_migrate_signal
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations import RunPython, RunSQL
from django.db.migrations.recorder import MigrationRecorder

Step = tuple[str, str]
Column = models.Field[Any, Any]

#: How the name of a joined step begins; the number of the last step it stands for follows.
JOINED: Final = "0001_squashed_"

# A sign-in that is under way is a key to the house, and worthless tomorrow: never copied.
LEFT_OUT: Final = frozenset({"django_session"})


def applied_steps(connection: BaseDatabaseWrapper) -> list[Step]:
    """Every migration that the database says was applied, as (app, name), in a fixed order."""
    return sorted(MigrationRecorder(connection).applied_migrations())


def unknown_steps(steps: list[Step]) -> list[Step]:
    """Those of the steps that belong to an app of ours and that this program does not know."""
    known = _known(MigrationLoader(None, ignore_no_migrations=True))
    labels = {config.label for config in apps.get_app_configs()}
    return [
        step
        for step in steps
        if step[0] in labels and step not in known and not _joined_earlier(step, known)
    ]


def _joined_earlier(step: Step, known: set[Step]) -> bool:
    """Whether this is the joined step of an earlier version, which a later one took the place of.

    What made its tables new wrote it down beside every step it stands for, so nothing hangs on it.
    """
    app, name = step
    last = name.removeprefix(JOINED)
    return last != name and any(label == app and one.startswith(f"{last}_") for label, one in known)


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
    """Those of the applied steps that no other applied step builds on.

    Tables that took many steps one by one are at the step that joins them, whether or not it was
    written down there.
    """
    graph = loader.graph
    given = {step for step in steps if step in graph.node_map}
    for step, joined in loader.disk_migrations.items():
        if step in graph.node_map and joined.replaces and set(joined.replaces) <= set(steps):
            given.add(step)
    return sorted(
        step for step in given if not given & {child.key for child in graph.node_map[step].children}
    )


def build_tables(connection: BaseDatabaseWrapper, steps: list[Step]) -> None:
    """Make the tables as they stood after these steps: no rows of a start, no triggers.

    All at once and whole or not at all, from what the steps describe, in place of one step after
    the other: a hundred times faster for tables of long ago.
    """
    loader = loader_for(steps)
    known = _known(loader)
    made = _models_after(loader, steps)
    recorder = MigrationRecorder(connection)
    with connection.schema_editor() as editor:
        for model in made:
            meta = model._meta
            if meta.managed and not (meta.proxy or meta.swapped or meta.auto_created):
                editor.create_model(model)  # with the tables of its many-to-many fields
        if not recorder.has_table():
            editor.create_model(recorder.Migration)
        for step in steps:
            if step in known:
                recorder.record_applied(*step)


def catch_up(connection: BaseDatabaseWrapper) -> None:
    """Take every step the tables lack, and make triggers, kinds of content and permissions anew.

    Tables that lack nothing are not read step by step, and in an empty database the tables of
    today are built at once: either takes a fraction of the time of the steps.
    """
    executor = MigrationExecutor(connection)
    loader = executor.loader
    leaves = loader.graph.leaf_nodes()
    every = {step for leaf in leaves for step in loader.graph.forwards_plan(leaf)}
    lacking = every - set(loader.applied_migrations)
    if lacking and (loader.applied_migrations or _rows_of_ours(loader, lacking)):
        call_command("migrate", interactive=False, verbosity=0, database=connection.alias)
        return
    emit_pre_migrate_signal(verbosity=0, interactive=False, db=connection.alias)
    if lacking:
        joined = {old for step in every for old in loader.graph.nodes[step].replaces}
        build_tables(connection, sorted(every | joined))
    else:
        executor.check_replacements()  # writes down a joined step whose steps were taken singly
    emit_post_migrate_signal(verbosity=0, interactive=False, db=connection.alias)


def _rows_of_ours(loader: MigrationLoader, steps: set[Step]) -> bool:
    """Whether a step of ours does more than describe tables; those of others mend old rows only."""
    return any(
        isinstance(operation, RunPython | RunSQL)
        for step in steps
        if step[0] == "records"
        for operation in loader.graph.nodes[step].operations
    )


def _models_after(loader: MigrationLoader, steps: list[Step]) -> list[type[models.Model]]:
    """Every model, tables of many-to-many fields too, as these steps leave it."""
    nodes = last_steps(loader, steps)
    if not nodes:
        return []
    every = set(nodes) == set(loader.graph.leaf_nodes())
    found = apps if every else loader.project_state(nodes).apps
    return list(found.get_models(include_auto_created=True))


def tables_of(connection: BaseDatabaseWrapper) -> list[type[models.Model]]:
    """The models of every table that is kept, by the migrations that were applied; by name."""
    steps = applied_steps(connection)
    wanted = [
        model
        for model in _models_after(loader_for(steps), steps)
        if model._meta.managed and not model._meta.proxy and model._meta.db_table not in LEFT_OUT
    ]
    return sorted(wanted, key=lambda model: model._meta.db_table)


def columns_of(model: type[models.Model], order: Sequence[str] = ()) -> list[Column]:
    """The columns of a table, in the order of its model, or of the names given."""
    fields = {field.column: field for field in model._meta.concrete_fields}
    return [fields[name] for name in order or fields]


def rows_of(
    connection: BaseDatabaseWrapper, model: type[models.Model], columns: Sequence[Column]
) -> Iterator[Any]:
    """Every row of a table as Python values, in the order of its key, read in portions."""
    names = [field.attname for field in columns]
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
