"""A restore writes over nothing, takes no damaged backup, and can be begun again when killed."""

import json
from pathlib import Path

import pytest

from tests.running.conftest import MakeDatabase, MakeHouse
from tests.running.house import House

pytestmark = [pytest.mark.own_houses, pytest.mark.slow]

DIE = """
import os, signal, sys
from django.core.management import call_command
from lifecycle.actions.backup import restoring
def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)
restoring._compare = die
call_command("restore", {backup!r})
"""


def everything(house: House) -> dict[str, int]:
    """What lies in a house's folder, but for what any command makes: its key and its lock."""
    own = {"secret-key", "running.lock", "showrest.sqlite3-wal", "showrest.sqlite3-shm"}
    return {
        str(path.relative_to(house.folder)): path.stat().st_mtime_ns
        for path in house.folder.rglob("*")
        if path.is_file() and path.name not in own
    }


def refused(house: House, backup: str | Path, said: str) -> None:
    before = everything(house)
    done = house.run("restore", str(backup))
    assert done.returncode == 1
    assert said in done.stdout
    assert "Traceback" not in done.stdout
    after = everything(house)
    if "showrest.sqlite3" not in before:
        after.pop("showrest.sqlite3", None)  # looking whether it holds tables makes it, empty
    assert after == before


def test_nothing_is_restored_over_tables_or_files_and_nothing_from_a_damaged_backup(
    make_museum_house: MakeHouse,
) -> None:
    house = make_museum_house()
    backup = Path(house.filling("back_up"))
    refused(house, backup, "The database is not empty, so nothing was written")
    other = make_museum_house("other", empty=True)
    (other.folder / "media" / "documents").mkdir(parents=True)
    (other.folder / "media" / "documents" / "x.pdf").write_bytes(b"somebody's")
    refused(other, backup, "The folder of pictures and scans is not empty")
    fresh = make_museum_house("fresh", empty=True)
    scan = next(path for path in (backup / "files").rglob("*.pdf"))
    kept = scan.read_bytes()
    scan.write_bytes(kept[:-1])
    refused(fresh, backup, f"{scan.relative_to(backup)} is damaged: it is no longer what")
    scan.unlink()
    refused(fresh, backup, f"{scan.relative_to(backup)} is missing from the backup.")
    scan.write_bytes(kept)
    said = json.loads((backup / "backup.json").read_text())
    said["steps"].append(["records", "9999_of_another_year"])
    (backup / "backup.json").write_text(json.dumps(said))
    refused(fresh, backup, "made by a newer version of Showrest")
    refused(fresh, backup.parent, "holds no backup.json: it is not a backup")


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_a_killed_restore_says_so_and_can_be_begun_again(
    make_museum_house: MakeHouse, postgresql: MakeDatabase, database: str
) -> None:
    house = make_museum_house()
    before, backup = house.filling("digest"), house.filling("back_up_turned")
    settings = {"DATABASE_URL": postgresql()} if database == "postgresql" else {}
    rebuilt = make_museum_house("rebuilt", empty=True, **settings)
    assert rebuilt.script(DIE.format(backup=backup)).returncode == -9
    for command in ("start", "up", "upgrade"):
        done = rebuilt.run(command)
        assert done.returncode == 1, command
        assert "A restore or move from" in done.stdout
        assert "did not end, so this database is not whole" in done.stdout
    again = rebuilt.run("restore", backup)
    assert again.returncode == 0, again.stdout
    assert rebuilt.filling("digest") == before
    assert "not whole" not in rebuilt.run("upgrade").stdout


def test_a_backup_of_an_older_version_is_restored_and_brought_forward(
    make_museum_house: MakeHouse,
) -> None:
    """The older version's tables are those before the last step of the records."""
    old = make_museum_house("old", empty=True)
    lacking = old.older()
    backup = old.filling("back_up")
    steps = [name for app, name in json.loads(Path(backup, "backup.json").read_text())["steps"]]
    assert steps
    assert lacking not in steps
    new = make_museum_house("new", empty=True)
    done = new.run("restore", backup)
    assert done.returncode == 0, done.stdout
    assert "The tables were then upgraded by" in done.stdout
    assert new.sql("SELECT name FROM records_museum") == [("Somewhere",)]
    assert new.run("migrate", "--check").returncode == 0


def test_a_signed_record_that_was_not_right_is_named_and_all_else_is_there(
    make_museum_house: MakeHouse,
) -> None:
    house = make_museum_house()
    house.sql("DROP TRIGGER keep_records_conditionreport_update")
    house.sql("UPDATE records_conditionreport SET signed_text = signed_text || ' and more'")
    done = house.run("backup")
    assert done.returncode == 1
    assert "the kept words no longer give the signed digest" in done.stdout
    assert "not proven" in done.stdout
    (backup,) = (house.folder / "backups").glob("showrest-*Z")
    rebuilt = make_museum_house("rebuilt", empty=True)
    restored = rebuilt.run("restore", str(backup))
    assert restored.returncode == 2
    assert "It was so when the backup was made." in restored.stdout
    assert rebuilt.filling("pairs").startswith("0\ncondition report")
