"""Two people press one move at one moment: real threads, a real database, SQLite or PostgreSQL."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def own_database(tmp_path: Path, db: None) -> Iterator[str]:
    """A database beside the one of the tests, of the same kind."""
    if connection.vendor == "sqlite":
        yield f"sqlite:///{tmp_path / 'two.sqlite3'}"
        return
    psycopg = pytest.importorskip("psycopg")
    known: dict[str, Any] = connection.settings_dict
    name = f"{known['NAME']}_two"
    with psycopg.connect(
        host=known["HOST"],
        port=known["PORT"] or 5432,
        user=known["USER"],
        password=known["PASSWORD"] or None,
        dbname="postgres",
        autocommit=True,
    ) as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}"')
        server.execute(f'CREATE DATABASE "{name}"')
        # The name alone is exchanged: user and scheme may be called "postgres" too.
        yield urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def run(program: str, database: str, seconds: float = 110) -> dict[str, Any]:
    """Run one of the two-people programs on its database and read what it prints."""
    ran = subprocess.run(
        [sys.executable, "-m", f"tests.actions.{program}"],
        cwd=ROOT,
        env=os.environ
        | {"TEST_DATABASE_URL": database, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        timeout=seconds,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    found: dict[str, Any] = json.loads(ran.stdout.splitlines()[-1])
    return found


@pytest.mark.slow
def test_two_beginnings_at_once_make_one_museum_with_one_steward(own_database: str) -> None:
    found = run("two_beginnings", own_database)
    assert found["met"] == ["This installation has its museum already.", "begun"]
    assert found["rows"] == [1, 1, 1]


@pytest.mark.slow
def test_one_makes_the_move_and_the_other_is_told_and_so_with_a_proposal(own_database: str) -> None:
    found = run("two_presses", own_database)
    told, made = found["met"]
    assert made == "made"
    assert "taken in for examination by Marit Oldacre" in told
    assert "Nothing was done twice" in told
    assert (found["journal"], found["stage"]) == (2, "examination")
    assert found["sent"] == ["sent", "v1 of TP-0001 was sent already."]
    assert found["signatures"] == 1
    told_late, late_signed = found["late"]
    assert "TP-0002 was dropped" in told_late
    assert not late_signed
