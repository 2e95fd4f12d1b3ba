"""An upgrade makes a backup first, is found when it was cut off, and never runs backwards."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.db.migrations.loader import MigrationLoader

from tests.running.conftest import MakeHouse
from tests.running.house import House

pytestmark = [pytest.mark.own_houses, pytest.mark.slow]

DIE = """
import os, signal
from django.core.management import call_command
from django.db.migrations.executor import MigrationExecutor
real = MigrationExecutor.apply_migration
def die(*arguments, **options):
    real(*arguments, **options)
    os.kill(os.getpid(), signal.SIGKILL)
MigrationExecutor.apply_migration = die
call_command("upgrade", skip_checks=True)
"""
DIE_BUILDING = """
import os, signal
from django.core.management import call_command
from django.db.migrations.recorder import MigrationRecorder
MigrationRecorder.record_applied = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
call_command("upgrade", skip_checks=True)
"""
STEP_BY_STEP = """
from django.core.management import call_command
call_command("migrate", verbosity=0, skip_checks=True)
"""
WITH_ROWS = """
from django.core.management import call_command
from django.db.migrations import RunPython
from lifecycle.records import tables
def fill(apps, editor):
    apps.get_model("records", "Museum").objects.create(name="Of the first day", zone="UTC")
loading = tables.MigrationLoader.build_graph
def with_rows(loader):
    loading(loader)
    (last,) = loader.graph.leaf_nodes("records")
    loader.graph.nodes[last].operations.append(RunPython(fill))
tables.MigrationLoader.build_graph = with_rows
call_command("upgrade", skip_checks=True)
"""
JOINED = "SELECT name FROM django_migrations WHERE name LIKE '0001_squashed_%' AND app = 'records'"
TRIGGERS = "SELECT count(*) FROM sqlite_master WHERE type = 'trigger'"


@pytest.fixture
def old(make_museum_house: MakeHouse) -> House:
    """A museum on the tables before the last step."""
    house = make_museum_house(empty=True)
    house.older()
    return house


def backups(house: House) -> list[Path]:
    return sorted((house.folder / "backups").glob("showrest-*Z"))


def test_an_upgrade_makes_a_backup_first_and_one_that_is_not_needed_makes_none(old: House) -> None:
    done = old.run("upgrade")
    assert done.returncode == 0, done.stdout
    assert "First, a backup:" in done.stdout
    assert len(backups(old)) == 1
    assert old.run("upgrade").returncode == 0
    assert len(backups(old)) == 1
    assert old.run("migrate", "--check").returncode == 0


def schema(house: House) -> dict[tuple[str, str], list[str]]:
    """Every table with its columns and conditions in a fixed order; every index and trigger."""
    rows = house.sql("SELECT type, name, coalesce(sql, '') FROM sqlite_master")
    return {(kind, name): sorted(re.split(r", (?=\")", sql[:-1])) for kind, name, sql in rows}


def test_tables_built_at_once_are_those_of_the_steps_one_after_the_other(
    make_museum_house: MakeHouse,
) -> None:
    steps, at_once = (make_museum_house(name, empty=True) for name in ("steps", "at_once"))
    assert steps.script(STEP_BY_STEP).returncode == 0
    assert at_once.script(DIE_BUILDING).returncode == -9
    assert at_once.sql("SELECT name FROM sqlite_master") == []  # whole, or not at all
    assert at_once.run("upgrade").returncode == 0
    assert schema(at_once) == schema(steps)
    for rows in (
        "SELECT app, name FROM django_migrations ORDER BY 1, 2",
        "SELECT app_label, model FROM django_content_type ORDER BY 1, 2",
        "SELECT codename FROM auth_permission ORDER BY 1",
    ):
        assert at_once.sql(rows) == steps.sql(rows)


def test_a_new_house_gets_the_rows_that_a_step_puts_there(make_museum_house: MakeHouse) -> None:
    house = make_museum_house(empty=True)
    done = house.script(WITH_ROWS)
    assert done.returncode == 0, done.stdout
    assert house.sql("SELECT name FROM records_museum") == [("Of the first day",)]


def test_a_trigger_that_was_lost_is_made_again_by_the_next_start(
    make_museum_house: MakeHouse,
) -> None:
    """So is the name of the joined step, where the steps were taken one by one."""
    house = make_museum_house()
    standing, joined = house.sql(TRIGGERS), house.sql(JOINED)
    house.sql("DROP TRIGGER keep_records_conditionreport_update")
    house.sql("DELETE FROM django_migrations WHERE name LIKE '0001_squashed_%' AND app = 'records'")
    assert house.run("upgrade").returncode == 0
    assert (house.sql(TRIGGERS), house.sql(JOINED)) == (standing, joined)


def test_without_a_backup_nothing_is_upgraded(old: House) -> None:
    (old.folder / "backups").write_text("a file where the folder should be")
    done = old.run("upgrade")
    assert done.returncode == 1
    assert "Without a backup nothing is upgraded" in done.stdout
    assert old.run("migrate", "--check").returncode == 1
    assert old.run("upgrade", "--no-backup").returncode == 0


def test_an_upgrade_that_was_killed_is_found_said_and_taken_up(old: House) -> None:
    assert old.script(DIE).returncode == -9
    assert old.sql(TRIGGERS) == [(0,)]  # lifted for the upgrade, and not made again
    up = old.run("up")
    assert up.returncode == 1
    assert "did not end. The tables are not up to date. Run 'manage.py upgrade'" in up.stdout
    again = old.run("upgrade")
    assert again.returncode == 0, again.stdout
    assert "did not end. Each of its steps is whole or was undone" in again.stdout
    (backup,) = backups(old)  # the one before the first try, and no second one of a half upgrade
    assert f"restore {backup} into an empty folder" in again.stdout
    assert old.sql(TRIGGERS)[0][0] > 100
    assert "did not end" not in old.run("upgrade").stdout


def test_tables_newer_than_the_program_are_refused(make_museum_house: MakeHouse) -> None:
    house = make_museum_house()
    house.sql(
        "INSERT INTO django_migrations (app, name, applied)"
        " VALUES ('records', '9999_of_another_year', '2026-01-01')"
    )
    for command in ("start", "up", "upgrade"):
        done = house.run(command)
        assert done.returncode == 1
        assert "These tables are newer than this version of Showrest" in done.stdout
        assert "records 9999_of_another_year" in done.stdout


def test_each_step_of_ours_is_whole_or_undone(settings: Any) -> None:
    """What is said about a cut-off upgrade holds only while every migration is atomic."""
    settings.MIGRATION_MODULES = {}  # the tests' own tables are made without them
    ours = MigrationLoader(None).disk_migrations.items()
    assert [name for (app, name), step in ours if app == "records" and not step.atomic] == []
