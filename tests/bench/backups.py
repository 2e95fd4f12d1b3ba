"""A backup of many rows and its proof, against the database's own copy of itself.

``python -m tests.bench.backups [objects]`` (20,000 without). The floor is SQLite's online copy of
the whole file (``sqlite3.Connection.backup``): what reading and writing every page once takes.
Told are the ratios of making a backup and of proving it by restoring to that floor, and rows a
second; all in seconds of the processor, children included, so that a busy machine says the same.
Both are more than a copy: text that either database reads, packed, digested, read again; the proof
builds all tables anew before the first row.
"""

import os
import sqlite3
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

_FOLDER = Path(tempfile.mkdtemp(prefix="showrest-bench-"))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DATABASE_URL", f"sqlite:///{_FOLDER / 'bench.sqlite3'}")
os.environ.setdefault("SHOWREST_TEST_KEEP_ENVIRONMENT", "yes")
os.environ.setdefault("SHOWREST_DATA", str(_FOLDER))

import django  # noqa: E402
from django.apps import apps  # noqa: E402

if not apps.ready:
    django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402

from lifecycle.actions.backup.making import backups_folder, make_backup  # noqa: E402
from lifecycle.actions.backup.whole import proof  # noqa: E402
from tests.builders.object_table import make_lists, sample, written  # noqa: E402


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def _quiet(doing: str, done: int, total: int) -> None:
    """Nobody watches."""


def spent() -> float:
    """Seconds of the processor that this process and its ended children have used so far."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def floor() -> float:
    """Seconds in which the database copies itself, page by page."""
    began = spent()
    with (
        sqlite3.connect(settings.DATABASES["default"]["NAME"]) as source,
        sqlite3.connect(_FOLDER / "copy.sqlite3") as copy,
    ):
        source.backup(copy)
    return spent() - began


def main(count: int) -> None:
    """Fill a database, copy it, back it up, prove the backup."""
    call_command("migrate", verbosity=0)
    make_lists()
    written(sample(count))
    least = floor()
    began = spent()
    with backups_folder(_FOLDER / "backups"):
        made = make_backup(root=_FOLDER / "backups", at=datetime.now(UTC), tell=_quiet)
        making = spent() - began
        began, clock = spent(), time.perf_counter()
        faults = proof(made, _quiet)
    proving, waited = spent() - began, time.perf_counter() - clock
    rows = sum(table.rows for table in made.about.tables)
    say(f"{count} objects, {rows} rows, {made.size / 1e6:.1f} MB; floor {least:.2f} s")
    say(f"made in {making:.1f} s: {making / least:.1f} times the floor, {rows / making:.0f} rows/s")
    say(f"proven in {proving:.1f} s ({waited:.1f} s by the clock): {proving / least:.1f} times")
    say(f"faults: {faults}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
