"""One whole night's work: make a backup, prove it by restoring it, let the oldest ones go."""

from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings

from lifecycle.actions.backup.elsewhere import empty_house, restore_elsewhere
from lifecycle.actions.backup.making import Made, Tell, backups_folder, leave_only, make_backup
from lifecycle.exchange.backup import folder as form
from lifecycle.exchange.backup.keeping import Kept, to_keep
from lifecycle.queries.clock import museum_zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one backup, as plain data for the row of the work."""

    folder: str
    taken_at: str
    rows: int
    files: int
    size: int
    digest: str
    proven: bool
    faults: list[str]
    removed: list[str]

    def as_data(self) -> dict[str, Any]:
        return asdict(self)


def back_up(*, root: Path, at: datetime, tell: Tell) -> Outcome:
    """Make a backup into ``root``, prove it, and remove what need not be kept any longer.

    Only a proven backup lets older ones go, and only in the house's own folder of backups.

    :raises Busy: while another backup is written into that folder
    :raises Failed: when it could not be made
    """
    with backups_folder(root):
        made = make_backup(root=root, at=at, tell=tell)
        faults = proof(made, tell)
        removed: list[str] = []
        if not faults and root.resolve() == Path(settings.BACKUPS_DIR).resolve():
            moments = set(form.backups_in(root))
            kept = Kept(*settings.BACKUPS_KEPT)
            staying = to_keep(moments, kept=kept, zone=museum_zone())
            removed = leave_only(root=root, staying=staying)
    return Outcome(
        folder=str(made.folder),
        taken_at=at.astimezone(UTC).isoformat(),
        rows=made.about.rows,
        files=made.about.files,
        size=made.size,
        digest=made.about.digest,
        proven=not faults,
        faults=faults,
        removed=removed,
    )


def proof(made: Made, tell: Tell) -> list[str]:
    """Restore the tables into a new database and compare everything; what is wrong, in words.

    All files were read again when the backup was made. The rows are written into a database of
    the embedded kind, whichever the museum's own is, since the lines of a backup fit both.
    """

    def wait() -> None:
        tell("proving it: restoring it elsewhere", 0, 0)

    with empty_house(made.folder.parent) as data:
        code, said = restore_elsewhere(backup=made.folder, data=data, wait=wait)
    return [] if code == 0 else said.splitlines()[-20:]
