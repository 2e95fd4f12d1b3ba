"""The tables of all migrations so far as one step, which a new museum takes instead of them.

Each ordinary step costs a new museum, and every restore, some seconds. A museum that has taken some
of the steps takes the others one by one, as before; Django's ``replaces`` tells the two apart.
"""

import sys
from pathlib import Path
from typing import Any

from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations import CreateModel
from django.db.migrations.writer import MigrationWriter

from lifecycle.records.building import BuildTables
from lifecycle.records.tables import JOINED, one_by_one

APP = "records"
EMPTY: tuple[object, ...] = ([], (), set())
FOLDER = Path(__file__).parent / "migrations"


def joined_step() -> Migration:
    """One migration that builds what all on disk build one after the other."""
    loader = one_by_one()
    (leaf,) = loader.graph.leaf_nodes(APP)
    steps = [node for node in loader.graph.forwards_plan(leaf) if node[0] == APP]
    models = [model for (app, _), model in loader.project_state(leaf).models.items() if app == APP]
    others = {need for node in steps for need in loader.get_migration(*node).dependencies}
    said: dict[str, Any] = {
        "initial": True,
        "replaces": steps,
        "dependencies": sorted(need for need in others if need[0] != APP),
        "operations": [
            BuildTables(
                tables=[
                    CreateModel(
                        name=model.name,
                        fields=list(model.fields.items()),
                        options={
                            name: said for name, said in model.options.items() if said not in EMPTY
                        },
                        bases=model.bases,
                        managers=model.managers,
                    )
                    for model in models
                ]
            )
        ],
    }
    name = f"{JOINED}{leaf[1][:4]}"
    joined: type[Migration] = type("Migration", (Migration,), said)
    return joined(name, APP)


def write_joined_step() -> tuple[str, int]:
    """Replace the joined step on disk; return its file's name and how many steps it stands for."""
    for path in FOLDER.glob(f"{JOINED}*.py"):
        _name_the_step_itself(path.stem)
        path.unlink()
    step = joined_step()
    writer = MigrationWriter(step, include_header=False)
    (FOLDER / writer.filename).write_text(writer.as_string())
    return writer.filename, len(step.replaces)


def _name_the_step_itself(joined: str) -> None:
    """Let steps that build on a joined one build on the last of those it stood for."""
    last = MigrationLoader(None).disk_migrations[APP, joined].replaces[-1][1]
    for path in FOLDER.glob("0*.py"):
        said = path.read_text()
        if joined in said:  # in quotes of either kind
            path.write_text(said.replace(joined, last))
    for name in [name for name in sys.modules if ".records.migrations." in name]:
        del sys.modules[name]  # read anew
