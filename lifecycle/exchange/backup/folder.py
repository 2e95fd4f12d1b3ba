"""One backup as a folder: what lies in it, what it says of itself, and whether it is whole.

``backup.json`` says what was kept; ``checksums.sha256`` lists every other file in the form that
``sha256sum --check`` reads; ``tables/`` holds one compressed text for each table; ``files/`` holds
the pictures and scans under the names they have in the store.
"""

import hashlib
import json
import re
import string
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Any, Final

KIND: Final = "Showrest backup"
FORMAT: Final = 1
ABOUT: Final = "backup.json"
SUMS: Final = "checksums.sha256"
README: Final = "README.txt"
TABLES: Final = "tables"
FILES: Final = "files"
UNFINISHED: Final = ".part"
PIECE: Final = 1 << 20

OURS: Final = "showrest-"
_NAME: Final = OURS + "%Y-%m-%dT%H-%M-%SZ"
_LINE: Final = re.compile(r"([0-9a-f]{64})  (\S.*)")


class BadBackup(Exception):
    """This folder can't be used as a backup; the text names the file and what is wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table: its rows, the digest of its rows, its columns, and the last number given out."""

    name: str
    rows: int
    digest: str
    last_number: int
    columns: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a backup says of itself."""

    taken_at: datetime
    museum: str
    program: str
    database: str
    steps: list[tuple[str, str]]
    digest: str
    files: int
    bytes: int
    tables: list[Table] = field(default_factory=list)

    @property
    def rows(self) -> int:
        return sum(table.rows for table in self.tables)


def name_of(moment: datetime) -> str:
    """The folder's name: only the moment, in UTC, to the second."""
    return moment.astimezone(UTC).strftime(_NAME)


def moment_of(name: str) -> datetime | None:
    """The moment a folder's name gives, or None if it is no backup's name."""
    try:
        return datetime.strptime(name, _NAME).replace(tzinfo=UTC)
    except ValueError:
        return None


def backups_in(root: Path) -> dict[datetime, Path]:
    """The whole backups of a folder by their moments; what is only begun is not among them."""
    if not root.is_dir():
        return {}
    found = {moment_of(path.name): path for path in root.iterdir() if path.is_dir()}
    return {moment: path for moment, path in found.items() if moment is not None}


def write_about(folder: Path, about: About) -> None:
    """Write what the backup says of itself, last but for the list of checksums."""
    said = {
        "kind": KIND,
        "format": FORMAT,
        **asdict(about),
        "taken_at": about.taken_at.astimezone(UTC).isoformat(),
    }
    (folder / ABOUT).write_text(json.dumps(said, indent=1, ensure_ascii=False) + "\n", "utf-8")


def read_about(folder: Path) -> About:
    """Read what a backup says of itself.

    :raises BadBackup: if it is none, is not whole, or was made by a newer program
    """
    if folder.name.endswith(UNFINISHED):
        raise BadBackup(f"{folder} was begun and never ended: it is not a backup.")
    if not (folder / ABOUT).is_file():
        raise BadBackup(f"{folder} holds no {ABOUT}: it is not a backup of Showrest.")
    try:
        said: dict[str, Any] = json.loads((folder / ABOUT).read_text("utf-8"))
        if said.pop("kind") != KIND:
            raise BadBackup(f"{folder / ABOUT} is of something else, not of a Showrest backup.")
        form = said.pop("format")
        if form > FORMAT:
            raise BadBackup(
                f"{folder} was written by a newer version of Showrest (format {form}; this "
                f"version reads {FORMAT}). Install that version and restore with it."
            )
        said["taken_at"] = datetime.fromisoformat(said["taken_at"])
        said["steps"] = [(app, name) for app, name in said["steps"]]
        said["tables"] = [Table(**table) for table in said["tables"]]
        return About(**said)
    except (ValueError, KeyError, TypeError) as trouble:
        raise BadBackup(f"{folder / ABOUT} can't be read: {trouble}.") from None


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file in hexadecimal (FIPS 180-4), read in pieces."""
    with path.open("rb") as file:
        return sha256_of_open(file)


def sha256_of_open(file: Any) -> str:
    """The SHA-256 of what an open file still holds."""
    found = hashlib.sha256()
    while piece := file.read(PIECE):
        found.update(piece)
    return found.hexdigest()


def write_sums(folder: Path, sums: dict[str, str]) -> None:
    """Write the list of checksums, in the order of the names."""
    lines = [f"{digest}  {name}\n" for name, digest in sorted(sums.items())]
    (folder / SUMS).write_text("".join(lines), "utf-8")


def read_sums(folder: Path) -> dict[str, str]:
    """Read the list of checksums: names relative to the folder, and their SHA-256.

    :raises BadBackup: if it is missing, a line of it can't be read, or a name leads elsewhere
    """
    try:
        lines = (folder / SUMS).read_text("utf-8").splitlines()
    except (OSError, ValueError) as trouble:
        raise BadBackup(f"{folder / SUMS} can't be read: {trouble}.") from None
    sums = {}
    for number, line in enumerate(lines, start=1):
        found = _LINE.fullmatch(line)
        if found is None or not _stays_inside(found[2]):
            raise BadBackup(f"Line {number} of {folder / SUMS} is no checksum and name.")
        sums[found[2]] = found[1]
    return sums


def _stays_inside(name: str) -> bool:
    path = PurePosixPath(name)
    letters = set(name)
    return (
        not path.is_absolute()
        and ".." not in path.parts
        and "\\" not in letters
        and not letters & set(string.whitespace) - {" "}
    )


def faults_of_list(about: About, sums: dict[str, str]) -> list[str]:
    """What the list of checksums ought to name and does not: a list that was cut off."""
    needed = {ABOUT, README, *(table_name(table.name) for table in about.tables)}
    faults = [f"{SUMS} does not name {name}." for name in sorted(needed - set(sums))]
    files = sum(name.startswith(f"{FILES}/") for name in sums)
    if files != about.files:
        faults.append(f"{SUMS} names {files} kept files; there were {about.files}.")
    return faults


def table_name(table: str) -> str:
    return f"{TABLES}/{table}.jsonl.gz"


def check_files(
    folder: Path, sums: dict[str, str], *, tell: Callable[[int, int], None]
) -> Iterable[tuple[str, str]]:
    """Read every file again; yield the name and what is wrong with each that differs.

    ``tell`` is called before each file with how many were read and how many there are.
    """
    for number, (name, digest) in enumerate(sorted(sums.items())):
        tell(number, len(sums))
        path = folder / name
        if not path.is_file():
            yield name, f"{name} is missing from the backup."
        elif sha256_of(path) != digest:
            yield name, f"{name} is damaged: it is no longer what was written."
