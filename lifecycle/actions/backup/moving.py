"""Move all tables of this house into another, empty database, in one go."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from lifecycle.actions.backup.elsewhere import SIGNED_DIFFERS, empty_house, restore_elsewhere
from lifecycle.actions.backup.making import Tell, backups_folder, make_backup
from lifecycle.exchange.backup.folder import About


class NotMoved(Exception):
    """The move was refused or broken off; the target is not to be used, the source is as it was."""


def move(
    *, to: str, beside: Path, at: datetime, tell: Tell, wait: Callable[[], None]
) -> tuple[About, str]:
    """Copy every table into the database of the address ``to``; return counts and last words.

    The tables are read at one moment, written into the target, read back from there, and counts
    and digests compared; row numbers go on where they were, and signed records are verified. The
    source is only read. ``to`` may hold a password: it reaches the child by its environment alone.

    :raises NotMoved: with what the child said, if the target is not empty or anything differs
    """
    with backups_folder(beside), empty_house(beside) as house:
        made = make_backup(root=house, at=at, tell=tell, with_files=False)
        code, said = restore_elsewhere(
            backup=made.folder,
            data=house / "data",
            wait=wait,
            environment={"DATABASE_URL": to},
        )
    if code not in {0, SIGNED_DIFFERS}:
        raise NotMoved(said or "The copy was cut off.")
    return made.about, said
