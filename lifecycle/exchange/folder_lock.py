"""A lock on a folder, kept by the operating system: it ends with the process that holds it."""

import os
import sys
from pathlib import Path
from typing import IO

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


class Held(Exception):
    """Another process holds the lock; ``by`` is its number, as far as it is known."""

    def __init__(self, by: str) -> None:
        super().__init__(by)
        self.by = by


def hold(path: Path) -> IO[str]:
    """Lock this file until the returned file is closed or the process ends.

    :raises Held: while another process holds it
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    file = open(path, "a+", encoding="ascii")  # noqa: SIM115 - given back open
    try:
        if sys.platform == "win32":
            # Far behind the text, since Windows locks the bytes themselves.
            file.seek(1 << 20)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        file.seek(0)
        holder = file.read().strip() or "unknown"
        file.close()
        raise Held(holder) from None
    file.seek(0)
    file.truncate()
    file.write(str(os.getpid()))
    file.flush()
    return file
