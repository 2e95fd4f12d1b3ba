"""What happens twice at one moment is told once: real threads, SQLite or PostgreSQL."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.actions.test_two_people_one_move import own_database

ROOT = Path(__file__).resolve().parents[2]
__all__ = ["own_database"]


@pytest.mark.slow
def test_two_readings_two_registrars_and_two_workers_write_one_mail_a_person(
    own_database: str,
) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tests.actions.two_alarms"],
        cwd=ROOT,
        env=os.environ
        | {"TEST_DATABASE_URL": own_database, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        timeout=110,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    assert json.loads(ran.stdout.splitlines()[-1]) == {
        "above-ceiling": [1, 1],
        "clause/": [1],
        "last-day/": [1, 1, 1, 1],
    }
