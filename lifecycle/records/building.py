"""One migration operation that builds many tables at once.

Django renders all models anew for every ``CreateModel`` and rebuilds the whole table on SQLite for
every constraint added later. With two hundred tables that point at one another this takes
minutes; built together they take seconds. For first migrations only: nothing may be there yet.
"""

from collections.abc import Sequence
from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import CreateModel
from django.db.migrations.operations.base import Operation, OperationCategory
from django.db.migrations.state import ProjectState


class BuildTables(Operation):
    """Create the tables of all ``tables`` in one rendering, in any order, cycles included."""

    category = OperationCategory.ADDITION
    serialization_expand_args = ["tables"]
    reversible = True

    def __init__(self, tables: Sequence[CreateModel]) -> None:
        self.tables = tables

    def deconstruct(self) -> tuple[str, Sequence[Any], dict[str, Any]]:
        return type(self).__name__, [], {"tables": self.tables}

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        state.__dict__.pop("apps", None)  # rendered again once, when all tables are known
        for table in self.tables:
            table.state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for model in self._models(app_label, schema_editor, to_state):
            schema_editor.create_model(model)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for model in reversed(self._models(app_label, schema_editor, from_state)):
            schema_editor.delete_model(model)

    def _models(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, state: Any
    ) -> list[Any]:
        alias = schema_editor.connection.alias
        models = [state.apps.get_model(app_label, table.name) for table in self.tables]
        return [model for model in models if self.allow_migrate_model(alias, model)]

    def describe(self) -> str:
        return f"Build {len(self.tables)} tables"
