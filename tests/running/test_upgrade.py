"""An upgrade makes a backup first, is found when it was cut off, and never runs backwards."""

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
