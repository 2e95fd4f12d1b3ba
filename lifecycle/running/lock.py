"""One start for each data folder, kept by the operating system: it ends with the process."""

import os
import sys
from pathlib import Path
from typing import IO

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


class FolderInUse(Exception):
    """Another start holds this data folder."""


def hold(folder: Path) -> IO[str]:
    """Lock the data folder until the returned file is closed or the process ends.

    :raises FolderInUse: in words, with the process that holds it
    """
    folder.mkdir(parents=True, exist_ok=True)
    file = open(folder / "running.lock", "a+", encoding="ascii")  # noqa: SIM115
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
        raise FolderInUse(
            f"Showrest is already running on the folder {folder} (process {holder}). "
            "Stop that one first, or name another folder in SHOWREST_DATA."
        ) from None
    file.seek(0)
    file.truncate()
    file.write(str(os.getpid()))
    file.flush()
    return file
