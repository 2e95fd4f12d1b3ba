"""Restore a backup in a process of its own, on another folder or another database.

The settings of a process name one database. So the proof of a backup, and the move to another
database, run the restore command itself in a child, with an environment of its own.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from django.conf import settings

from lifecycle.exchange.backup import folder as form

LOOK_EVERY_S: Final = 0.25
# The exit code of a restore that is whole, of records that were not as signed to begin with.
SIGNED_DIFFERS: Final = 2
# Of this house, and wrong for the child: where its records are, and who may be told.
OWN: Final = frozenset({"DATABASE_URL", "REDIS_URL", "SHOWREST_DATA", "SHOWREST_MEDIA"})


@contextmanager
def empty_house(beside: Path) -> Iterator[Path]:
    """A data folder for a moment, on the same disk as ``beside``; its name says it is none."""
    prefix = f"{form.OURS}proof-"
    with tempfile.TemporaryDirectory(prefix=prefix, suffix=form.UNFINISHED, dir=beside) as folder:
        yield Path(folder)


def restore_elsewhere(
    *,
    backup: Path,
    data: Path,
    wait: Callable[[], None],
    environment: Mapping[str, str] | None = None,
) -> tuple[int, str]:
    """Restore the tables of a backup in a child process; return its exit code and last words.

    ``wait`` is called again and again until the child has ended; what it raises ends the child.
    """
    env = {name: value for name, value in os.environ.items() if name not in OWN}
    env |= {
        "DJANGO_SETTINGS_MODULE": "lifecycle.settings",
        "PYTHONPATH": str(settings.BASE_DIR),
        "SHOWREST_DATA": str(data),
        **(environment or {}),
    }
    line = [sys.executable, "-m", "django", "restore", str(backup), "--tables-only", "--quiet"]
    with (
        tempfile.TemporaryFile("w+", encoding="utf-8") as said,
        subprocess.Popen(  # noqa: S603 - our own command line
            line, env=env, stdin=subprocess.DEVNULL, stdout=said, stderr=subprocess.STDOUT
        ) as child,
    ):
        try:
            while child.poll() is None:
                wait()
                time.sleep(LOOK_EVERY_S)
        except BaseException:
            child.kill()
            raise
        said.seek(0)
        return child.returncode, said.read().strip().removeprefix("CommandError: ")[-2000:]
