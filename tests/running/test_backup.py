"""A backup made while people write, restored elsewhere: the same rows, files and digests."""

import json
import shutil
import signal
import stat
import subprocess
from pathlib import Path

import pytest

from tests.running.conftest import MakeDatabase, MakeHouse
from tests.running.house import SETUP, House, wait_until, zone_past_two

pytestmark = [pytest.mark.own_houses, pytest.mark.slow]

WRITE_ON = SETUP + "from tests.running import filling; filling.write_on()"


def backups(house: House) -> list[Path]:
    return sorted((house.folder / "backups").glob("showrest-*Z"))


def about(backup: Path) -> dict[str, object]:
    said: dict[str, object] = json.loads((backup / "backup.json").read_text())
    return said


def test_what_is_restored_has_the_digest_of_what_was_backed_up(
    museum: House, make_museum_house: MakeHouse, postgresql: MakeDatabase
) -> None:
    before = museum.filling("report")
    done = museum.run("backup")
    assert done.returncode == 0, done.stdout
    assert "proven by restoring them" in done.stdout
    (backup,) = backups(museum)
    assert about(backup)["digest"] == before.split()[0]
    assert stat.S_IMODE(backup.stat().st_mode) == 0o700
    embedded = make_museum_house("embedded", empty=True)
    server = make_museum_house("server", empty=True, DATABASE_URL=postgresql())
    for rebuilt in (embedded, server):
        restored = rebuilt.run("restore", str(backup))
        assert restored.returncode == 0, restored.stdout
        assert "1 signed record checked" in restored.stdout
        # The last message was deleted before the backup; its number belongs to its past.
        assert rebuilt.filling("report_and_next_number") == f"{before}\n4"


def test_a_backup_under_writes_holds_whole_transactions_and_all_their_files(
    museum: House, make_museum_house: MakeHouse
) -> None:
    writing = museum.start("-c", WRITE_ON)
    wait_until("the first pairs", lambda: "\n3\n" in museum.said())
    backup = museum.filling("back_up")
    assert writing.poll() is None
    while_written = len(museum.said().split())
    writing.kill()
    rebuilt = make_museum_house("rebuilt", empty=True)
    restored = rebuilt.run("restore", backup)
    assert restored.returncode == 0, restored.stdout
    count, *wrong = rebuilt.filling("pairs").split("\n")
    assert 0 < int(count) < 2 * while_written
    assert int(count) % 2 == 0
    assert wrong == []


def test_a_killed_backup_leaves_nothing_that_looks_like_one(museum: House) -> None:
    started = museum.start("backup")
    root = museum.folder / "backups"
    wait_until("a table", lambda: list(root.glob("*.part/tables/*.gz")), seconds=60)
    started.send_signal(signal.SIGKILL)
    started.wait()
    assert backups(museum) == []
    (left,) = root.glob("showrest-*.part")
    refused = museum.run("restore", str(left))
    assert refused.returncode == 1
    assert "was begun and never ended: it is not a backup" in refused.stdout
    (root / "somebody's.part").mkdir()
    museum.filling("back_up")
    assert len(backups(museum)) == 1
    assert [path.name for path in root.glob("*.part")] == ["somebody's.part"]


def test_two_backups_into_one_folder_do_not_meet(make_museum_house: MakeHouse) -> None:
    house = make_museum_house()
    hold = "import time; from pathlib import Path\n"
    hold += "from lifecycle.actions.backup.making import backups_folder\n"
    hold += f"with backups_folder(Path({str(house.folder / 'backups')!r})): "
    first = house.start("-c", SETUP + hold + "print('held', flush=True); time.sleep(60)")
    wait_until("the folder held", lambda: "held" in house.said())
    second = house.run("backup")
    assert second.returncode == 1
    assert "Another backup is being made in" in second.stdout
    first.kill()
    assert backups(house) == []


def test_files_of_the_backup_before_are_linked_and_a_bad_one_is_taken_anew(
    make_museum_house: MakeHouse,
) -> None:
    house = make_museum_house()
    first = Path(house.filling("back_up"))
    kept = sorted(path for path in (first / "files").rglob("*") if path.is_file())
    kept[0].write_bytes(kept[0].read_bytes()[::-1])  # went bad on the disk, its size the same
    second = Path(house.filling("back_up"))
    same = [path.stat().st_ino == (second / path.relative_to(first)).stat().st_ino for path in kept]
    assert same == [False] + [True] * (len(kept) - 1)
    checked = subprocess.run(
        ["sha256sum", "--check", "--quiet", "checksums.sha256"], cwd=second, check=False
    )
    assert checked.returncode == 0


def test_the_backup_holds_no_secret_and_no_sign_in(make_museum_house: MakeHouse) -> None:
    house = make_museum_house()
    house.sql(
        "INSERT INTO django_session VALUES ('a-sign-in-under-way', 'x', '2100-01-01 00:00:00')"
    )
    backup = Path(house.filling("back_up"))
    secret = (house.folder / "secret-key").read_text()
    unpacked = subprocess.run(
        ["zcat", *sorted(map(str, (backup / "tables").iterdir()))], capture_output=True, check=True
    ).stdout.decode()
    names = "\n".join(str(path) for path in backup.rglob("*"))
    for text in (unpacked, names, (backup / "backup.json").read_text()):
        assert secret not in text
        assert "a-sign-in-under-way" not in text


def test_a_backup_elsewhere_is_known_to_the_steward(make_museum_house: MakeHouse) -> None:
    house = make_museum_house()
    elsewhere = house.folder.parent / "elsewhere"
    assert house.run("backup", "--to", str(elsewhere)).returncode == 0
    assert len(list(elsewhere.glob("showrest-*Z"))) == 1
    ((state, results),) = house.sql("SELECT state, results FROM records_work")
    assert state == "done"
    assert json.loads(results)["proven"] is True
    assert house.sql("SELECT part FROM records_heartbeat") == [("backup",)]


def test_a_disk_that_is_full_leaves_no_backup_and_says_so(make_museum_house: MakeHouse) -> None:
    house = make_museum_house()
    full = "import errno; from lifecycle.actions.backup import making\n"
    full += "def no_room(*_): raise OSError(errno.ENOSPC, 'No space left on device')\n"
    full += "making._copied = no_room\n"
    full += "from django.core.management import call_command; call_command('backup')"
    done = house.script(full)
    assert done.returncode != 0
    assert "The backup could not be written: [Errno 28] No space left on device" in done.stdout
    assert [path.name for path in (house.folder / "backups").iterdir()] == ["backups.lock"]


@pytest.mark.broker
def test_the_worker_makes_and_proves_the_nights_backup_by_itself(
    make_museum_house: MakeHouse,
) -> None:
    house = make_museum_house()
    zone = zone_past_two()
    house.sql("UPDATE records_museum SET zone = ?", zone)
    house.start("up", "--only", "worker")
    done = "SELECT results FROM records_work WHERE kind = 'backup' AND state = 'done'"
    ((results,),) = wait_until("the backup done", lambda: house.sql(done), seconds=90)
    assert json.loads(results)["proven"] is True
    assert [str(path) for path in backups(house)] == [json.loads(results)["folder"]]
    shutil.rmtree(house.folder / "backups")
