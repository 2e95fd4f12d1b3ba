"""One start for each data folder."""

from pathlib import Path
from typing import IO

from lifecycle.exchange import folder_lock


class FolderInUse(Exception):
    """Another start holds this data folder."""


def hold(folder: Path) -> IO[str]:
    """Lock the data folder until the returned file is closed or the process ends.

    :raises FolderInUse: in words, with the process that holds it
    """
    try:
        return folder_lock.hold(folder / "running.lock")
    except folder_lock.Held as held:
        raise FolderInUse(
            f"Showrest is already running on the folder {folder} (process {held.by}). "
            "Stop that one first, or name another folder in SHOWREST_DATA."
        ) from None
