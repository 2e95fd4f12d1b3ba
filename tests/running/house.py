"""A started house on a folder of its own: real processes, a real broker, a file database."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from celery import Celery

ROOT = Path(__file__).resolve().parents[2]
PYTHON = sys.executable
SETUP = "import django; django.setup()\n"
OLDER = """
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from lifecycle.records import tables
loader = tables.one_by_one()
(last,) = loader.graph.leaf_nodes("records")
parents = loader.graph.node_map[last].parents
(before,) = [step.key for step in parents if step.key[0] == "records"]
tables.build_tables(connection, loader.graph.forwards_plan(before))
joined = f"{tables.JOINED}{before[1][:4]}"
MigrationRecorder(connection).record_applied("records", joined)
models = loader.project_state(before).apps
models.get_model("records", "Museum").objects.create(name="Somewhere", zone="UTC")
print(last[1])
"""
"""Makes the tables as they stood before the last step, with a museum in them, in one go.

They say that they were made by the joined step of that time, as those of a new museum do.
"""


def free_port() -> int:
    """A port that is free at this moment."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def wait_until(what: str, holds: Callable[[], Any], seconds: float = 40) -> Any:
    """Wait for something to become true; fail with what was waited for."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if found := holds():
            return found
        time.sleep(0.1)
    raise AssertionError(f"not within {seconds} s: {what}")


def zone_past_two() -> str:
    """A zone in which the hour of the nightly backup has come, whatever the hour of the test."""
    return "Europe/London" if datetime.now(ZoneInfo("Europe/London")).hour >= 2 else "Asia/Tokyo"


class House:
    """One data folder, its environment, and the processes started on it."""

    def __init__(self, folder: Path, **settings: str) -> None:
        self.folder = folder
        self.port = free_port()
        kept = {
            name: value
            for name, value in os.environ.items()
            if not name.startswith("SHOWREST_") and name not in {"DATABASE_URL", "REDIS_URL"}
        }
        self.environment: Mapping[str, str] = {
            **kept,
            "DJANGO_SETTINGS_MODULE": "lifecycle.settings",
            "PYTHONPATH": str(ROOT),
            "PYTHONUNBUFFERED": "1",
            "SHOWREST_DATA": str(folder),
            "SHOWREST_PORT": str(self.port),
            "SHOWREST_BEAT": "thread",
            **settings,
        }
        self.started: list[subprocess.Popen[str]] = []

    def run(self, *arguments: str, **options: Any) -> subprocess.CompletedProcess[str]:
        """Run a management command to its end."""
        return subprocess.run(
            [PYTHON, "manage.py", *arguments],
            cwd=ROOT,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=120,
            check=False,
            **options,
        )

    def script(self, code: str) -> subprocess.CompletedProcess[str]:
        """Run a few lines in this house, with its settings, to their end."""
        return subprocess.run(
            [PYTHON, "-c", SETUP + code],
            cwd=ROOT,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=120,
            check=False,
        )

    def filling(self, name: str) -> str:
        """Run one function of ``tests.running.filling`` in this house; return what it says."""
        done = self.script(f"from tests.running import filling; filling.{name}()")
        assert done.returncode == 0, done.stdout
        return done.stdout.strip()

    def older(self) -> str:
        """Build tables older by one step, with a museum in them; return the step they lack."""
        made = self.script(OLDER)
        assert made.returncode == 0, made.stdout
        return made.stdout.split()[-1]

    def start(self, *arguments: str) -> subprocess.Popen[str]:
        """Start something and leave it running; what it says goes to ``said.txt``."""
        ready = arguments[0] in {"-m", "-c"}
        line = list(arguments) if ready else ["manage.py", *arguments]
        with open(self.folder / "said.txt", "a") as said:
            process = subprocess.Popen(
                [PYTHON, *line],
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.PIPE,
                stdout=said,
                stderr=subprocess.STDOUT,
                text=True,
                start_new_session=True,
            )
        self.started.append(process)
        return process

    def said(self) -> str:
        """Everything that started commands have said so far, and the joint log."""
        files = (self.folder / "said.txt", self.folder / "showrest.log")
        return "\n".join(file.read_text(errors="replace") for file in files if file.exists())

    def sql(self, query: str, *values: Any) -> list[tuple[Any, ...]]:
        """Look into the database from outside: what is seen here is committed."""
        with sqlite3.connect(self.folder / "showrest.sqlite3", timeout=20) as line:
            found = line.execute(query, values).fetchall()
        line.close()
        return found

    def publisher(self) -> Celery:
        """A sender of messages to this house's broker."""
        app = Celery("test", set_as_current=False)
        app.conf.broker_url = f"redis+socket://{self.folder / 'broker' / 'broker.sock'}"
        app.conf.task_publish_retry = False
        return app

    def children(self) -> dict[str, int]:
        """The processes that belong to this folder, by what they are."""
        found = {}
        for entry in Path("/proc").iterdir():
            if not entry.name.isdigit():
                continue
            try:
                line = (entry / "cmdline").read_bytes().replace(b"\0", b" ").decode()
                # Valkey writes its title over its environment; its folder gives it away.
                here = os.readlink(entry / "cwd") == str(self.folder / "broker")
                mark = f"SHOWREST_DATA={self.folder}".encode()
                ours = here or mark in (entry / "environ").read_bytes().split(b"\0")
                dead = "\nState:\tZ" in (entry / "status").read_text()
            except OSError:
                continue
            if not ours or dead:
                continue
            if "lifecycle.running.child" in line:
                found[line.split()[-1]] = int(entry.name)
            elif "lifecycle.running.broker" in line:
                found["broker"] = int(entry.name)
            elif here:
                found["valkey"] = int(entry.name)
        return found

    def end(self) -> None:
        """Stop whatever of this folder is still alive, by its process ids."""
        sys.stdout.write(self.said()[-4000:])  # shown by pytest when the test has failed
        for process in self.started:
            if process.poll() is None:
                process.kill()
            process.wait()
            if process.stdin:
                process.stdin.close()
        for pid in self.children().values():
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
