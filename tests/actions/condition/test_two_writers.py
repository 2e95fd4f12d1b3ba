"""Two people save at one moment: real threads, a real database, SQLite or PostgreSQL."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.actions.test_two_people_one_move import own_database

ROOT = Path(__file__).resolve().parents[3]
__all__ = ["own_database"]


@pytest.mark.slow
def test_in_one_section_one_is_told_and_in_two_sections_both_are_saved(
    own_database: str,
) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tests.actions.condition.two_writers"],
        cwd=ROOT,
        env=os.environ
        | {"TEST_DATABASE_URL": own_database, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        timeout=110,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    found = json.loads(ran.stdout.splitlines()[-1])
    told, saved = found["one"]
    stands = found["stand"]["support"]
    assert saved == "saved"
    assert told.startswith(f"conflict: {stands} / seen by ")
    assert not told.endswith(stands)
    assert found["two"] == ["saved", "saved"]
    assert found["stand"]["medium"] == "seen by Marit Oldacre"
    assert found["stand"]["binding"] == "seen by Piers Hallam"
