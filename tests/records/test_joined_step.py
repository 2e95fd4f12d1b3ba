"""The one step that a new museum takes builds what all the steps before it build."""

from typing import Any

import pytest
from django.db.migrations.loader import MigrationLoader

from lifecycle.records import tables


@pytest.fixture(autouse=True)
def _with_migrations(settings: Any) -> None:
    """The tests' own tables are made without them."""
    settings.MIGRATION_MODULES = {}


def records(loader: MigrationLoader) -> dict[str, object]:
    (leaf,) = loader.graph.leaf_nodes("records")
    state = loader.project_state(leaf)
    return {name: model for (app, name), model in state.models.items() if app == "records"}


def test_the_joined_step_describes_the_tables_of_all_the_steps_it_stands_for() -> None:
    steps = records(tables.one_by_one())
    assert records(MigrationLoader(None)) == steps
    assert len(steps) > 190


@pytest.mark.parametrize(
    ("kept", "joined"),
    [
        ([], True),
        ([("records", "0001_initial")], False),
        ([("records", "0001_initial"), ("records", "0002_work_says_what_was_asked")], False),
    ],
)
def test_tables_with_some_of_the_steps_take_the_others_one_by_one(
    kept: list[tuple[str, str]], joined: bool
) -> None:
    names = {name for app, name in tables.loader_for(kept).graph.nodes if app == "records"}
    assert any("_squashed_" in name for name in names) is joined
    assert ("0001_initial" in names) is not joined


def test_tables_with_all_of_the_steps_are_at_the_joined_one() -> None:
    disk = MigrationLoader(None).disk_migrations
    (join,) = (step for (_, name), step in disk.items() if "_squashed_" in name)
    steps = [*join.replaces, ("records", join.name)]
    assert ("records", join.name) in tables.loader_for(steps).graph.nodes
    one_by_one = list(join.replaces)
    loader = tables.loader_for(one_by_one)
    assert tables.last_steps(loader, one_by_one) == [("records", join.name)]


def test_tables_made_by_the_joined_step_of_an_earlier_version_are_no_newer_ones() -> None:
    earlier, later = [("records", f"{tables.JOINED}{number}") for number in ("0009", "9999")]
    assert tables.unknown_steps([earlier, later, ("records", "0001_initial")]) == [later]
