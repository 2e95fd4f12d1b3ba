"""Make one backup: the tables of one moment, then every kept file, then the list of checksums.

Everything is written into a folder whose name ends in ``.part``. It gets the name of a backup
only once it has been read again and is whole, so nothing half-made ever looks like a backup.
"""

import gzip
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, Final

from django.core.files.storage import default_storage
from django.db import connection

from lifecycle import __version__
from lifecycle.exchange import folder_lock
from lifecycle.exchange.backup import folder as form
from lifecycle.exchange.backup.lines import Digest, digest_of_all, line_of
from lifecycle.process.days import day_words
from lifecycle.queries.letters import museum_name
from lifecycle.queries.pictures import stored_files
from lifecycle.queries.snapshot import snapshot
from lifecycle.records import tables

# Says what is being done, how far, and of how much; may raise Stopped.
Tell = Callable[[str, int, int], None]

MUSEUM: Final = "records_museum"

README: Final = """\
This folder is a backup of the records of {museum}, made by Showrest on {when} UTC.

Is it whole?   sha256sum --check --quiet {sums}
Rebuild it:    SHOWREST_DATA=/a/new/folder .venv/bin/python manage.py restore THIS-FOLDER

tables/   one text for each table, compressed with gzip: one row on each line, as a JSON array,
          in the order of the columns that {about} names for the table
files/    pictures and scans, as they were given, under the SHA-256 of their content

It holds names, addresses and what was written about people and objects: keep it as safe as the
records themselves. It does not hold the site's secret key, nor sign-ins that were under way.
"""


class Stopped(Exception):
    """Somebody asked the backup to stop."""


class Busy(Exception):
    """Another backup is being written into the same folder."""


class Failed(Exception):
    """The backup could not be made; the text says why. Nothing that looks like one was left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A backup that was made and read again."""

    folder: Path
    about: form.About
    size: int


@contextmanager
def backups_folder(root: Path) -> Iterator[None]:
    """Hold a folder of backups for one at a time, and clear away what a killed one left.

    :raises Busy: while another process works in it
    """
    root.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        lock = folder_lock.hold(root / "backups.lock")
    except folder_lock.Held as held:
        raise Busy(f"Another backup is being made in {root} (process {held.by}).") from None
    with lock:
        for left in root.glob(f"{form.OURS}*{form.UNFINISHED}"):
            shutil.rmtree(left, ignore_errors=True)
        yield


def make_backup(*, root: Path, at: datetime, tell: Tell, with_files: bool = True) -> Made:
    """Write one backup into ``root`` while the site runs, read it again, and name it.

    Call it while holding the folder. ``with_files`` False keeps the tables alone: for a move.

    :raises Failed: when the backup can't be made or does not read back as it was written
    """
    named = root / form.name_of(at)
    if named.exists():
        raise Failed(f"There is a backup of this second already: {named}.")
    part = named.with_name(named.name + form.UNFINISHED)
    earlier = form.backups_in(root)
    part.mkdir(mode=0o700)
    try:
        made = _written(part, at, earlier[max(earlier)] if earlier else None, tell, with_files)
        if hasattr(os, "sync"):
            os.sync()  # on the disk before it gets its name
        part.rename(named)
    except OSError as trouble:
        shutil.rmtree(part, ignore_errors=True)
        raise Failed(f"The backup could not be written: {trouble}.") from trouble
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise
    return Made(folder=named, about=made, size=_size(named))


def _written(
    part: Path, at: datetime, earlier: Path | None, tell: Tell, with_files: bool
) -> form.About:
    sums: dict[str, str] = {}
    kept, steps = _tables(part, sums, tell)
    linked = _files(part, sums, earlier, tell) if with_files else set()
    files = [name for name in sums if name.startswith(f"{form.FILES}/")]
    about = form.About(
        taken_at=at,
        museum=museum_name() if MUSEUM in {table.name for table in kept} else "",
        program=__version__,
        database=connection.vendor,
        steps=steps,
        digest=digest_of_all((table.name, table.rows, table.digest) for table in kept),
        files=len(files),
        bytes=sum((part / name).stat().st_size for name in files),
        tables=kept,
    )
    form.write_about(part, about)
    when = f"{day_words(at)}, {at:%H:%M}"
    text = README.format(museum=about.museum, when=when, sums=form.SUMS, about=form.ABOUT)
    (part / form.README).write_text(text, "utf-8")
    for name in (form.ABOUT, form.README):
        sums[name] = form.sha256_of(part / name)
    form.write_sums(part, sums)
    _read_again(part, sums, linked, tell)
    return about


def _tables(
    part: Path, sums: dict[str, str], tell: Tell
) -> tuple[list[form.Table], list[tables.Step]]:
    (part / form.TABLES).mkdir()
    kept = []
    with snapshot() as apart:
        steps = tables.applied_steps(apart)
        models = tables.tables_of(apart)
        for number, model in enumerate(models):
            tell("tables", number, len(models))
            name = form.table_name(model._meta.db_table)
            columns = tables.columns_of(model)
            digest = Digest(columns)
            with open(part / name, "wb") as raw, _packed(raw) as file:
                for row in tables.rows_of(apart, model, columns):
                    line = line_of(row)
                    digest.add(row, line)
                    file.write(line + b"\n")
                    if digest.rows % 10_000 == 0:
                        tell("tables", number, len(models))
            sums[name] = form.sha256_of(part / name)
            kept.append(
                form.Table(
                    name=model._meta.db_table,
                    rows=digest.rows,
                    digest=digest.hex(),
                    last_number=tables.last_number(apart, model),
                    columns=[str(field.column) for field in columns],
                )
            )
    return kept, steps


def _packed(raw: IO[bytes]) -> gzip.GzipFile:
    """Compressed, without name or moment: the same rows give the same bytes."""
    return gzip.GzipFile(filename="", mode="wb", compresslevel=5, fileobj=raw, mtime=0)


def _files(part: Path, sums: dict[str, str], earlier: Path | None, tell: Tell) -> set[str]:
    """Copy what the store holds now: later than the tables, so all that they name is there.

    What the backup before has already is linked, not copied: a file of the store is named after
    its content and never changed. Returns the names that were linked.
    """
    before = _sums_of(earlier)
    names = sorted(stored_files())
    linked = set()
    for number, stored in enumerate(names):
        tell("files", number, len(names))
        name = f"{form.FILES}/{stored}"
        target = part / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if earlier and name in before and _linked(earlier / name, target, stored):
            sums[name] = before[name]
            linked.add(name)
        else:
            _copied(stored, target)
            sums[name] = form.sha256_of(target)
    return linked


def _sums_of(earlier: Path | None) -> dict[str, str]:
    try:
        return form.read_sums(earlier) if earlier else {}
    except form.BadBackup:
        return {}


def _linked(old: Path, new: Path, stored: str) -> bool:
    try:
        if old.stat().st_size != default_storage.size(stored):
            return False
        os.link(old, new)
    except OSError:  # a disk that knows no links
        return False
    return True


def _copied(stored: str, target: Path) -> None:
    target.unlink(missing_ok=True)
    with default_storage.open(stored) as source, target.open("wb") as copy:
        shutil.copyfileobj(source, copy, form.PIECE)


def _read_again(part: Path, sums: dict[str, str], linked: set[str], tell: Tell) -> None:
    """Read all of it once more; a link to a file that went bad is replaced from the store."""

    def told(done: int, total: int) -> None:
        tell("reading it again", done, total)

    wrong = dict(form.check_files(part, sums, tell=told))
    for name in linked & set(wrong):
        _copied(name.removeprefix(f"{form.FILES}/"), part / name)
        if form.sha256_of(part / name) == sums[name]:
            del wrong[name]
    if wrong:
        raise Failed(f"The backup does not read back as it was written: {min(wrong.values())}")


def _size(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def leave_only(*, root: Path, staying: set[datetime]) -> list[str]:
    """Remove every backup of a folder but those of these moments; return the names removed.

    Each loses its name before its files: what a killed removal leaves is no backup.
    """
    removed = []
    for moment, path in sorted(form.backups_in(root).items()):
        if moment not in staying:
            gone = path.with_name(path.name + form.UNFINISHED)
            path.rename(gone)
            shutil.rmtree(gone, ignore_errors=True)
            removed.append(path.name)
    return removed
