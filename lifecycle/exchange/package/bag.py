"""Write and check a bag: a folder with the payload in ``data/`` and a checksum list beside it.

Layout and tag files after RFC 8493 (The BagIt File Packaging Format, version 1.0), with SHA-256.
Nothing here reads a clock or keeps a file in memory: files are written through, and read again in
parts for their checksums. The payload may be written in any order and by several runs; the
checksums come from what lies in the folder when the bag is sealed.
"""

import hashlib
import os
import re
import secrets
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Final

DATA: Final = "data"
DECLARATION: Final = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST: Final = "manifest-sha256.txt"
TAG_MANIFEST: Final = "tagmanifest-sha256.txt"
INFO: Final = "bag-info.txt"
#: Written last among the tag files: a folder without it is no whole bag.
DECLARED: Final = "bagit.txt"
TAG_FILES: Final = (DECLARED, INFO, MANIFEST)
_PART: Final = 1 << 20
_PLAIN: Final = re.compile(r"[A-Za-z0-9._-]+")
_LINE: Final = re.compile(r"(?P<digest>[0-9a-fA-F]{64})[ \t]+\*?(?P<path>.+)")

Seen = Callable[[int], None]


def no_notice(_: int) -> None:
    """Nobody wants to know how far the work has come."""


class BagFault(ValueError):
    """A payload path that would leave the folder, or a second bag in the same place."""


def payload_path(folder: Path, name: str) -> Path:
    """Return where a payload file lies; ``name`` uses forward slashes and stays inside.

    Names are kept to signs that need no escape in a list (RFC 8493, 2.1.3), since readers differ
    on how a percent sign is written there.

    :raises BagFault: for a name that is absolute, empty, climbs out of the folder or holds others
    """
    parts = name.split("/")
    if not all(_PLAIN.fullmatch(part) and part not in {".", ".."} for part in parts):
        raise BagFault(f"“{name}” is no name of a file inside a package.")
    return folder.joinpath(DATA, *parts)


@contextmanager
def payload_file(folder: Path, name: str) -> Iterator[IO[bytes]]:
    """Open one payload file for writing; it takes its name only when it is whole."""
    path = payload_path(folder, name)
    path.parent.mkdir(parents=True, exist_ok=True)
    # A name of its own: two runs that write the same file do not write into one another.
    part = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")
    with part.open("wb") as file:
        yield file
    os.replace(part, path)


def digest_of_file(path: Path, seen: Seen = no_notice) -> str:
    """Return the SHA-256 of a file in lower-case hexadecimal, read in parts of one mebibyte."""
    found = hashlib.sha256()
    with path.open("rb") as file:
        for part in iter(lambda: file.read(_PART), b""):
            found.update(part)
            seen(len(part))
    return found.hexdigest()


def payload_names(folder: Path) -> Iterator[str]:
    """Yield every payload file as ``data/...`` in one fixed order."""
    root = folder / DATA
    names = (path.relative_to(folder).as_posix() for path in root.rglob("*") if path.is_file())
    yield from sorted(names)


def seal(folder: Path, info: Mapping[str, str], seen: Seen = no_notice) -> tuple[int, int]:
    """Write the checksum lists and the tag files; return how many bytes and files there are.

    ``info`` are lines of ``bag-info.txt`` in their order; the payload's size (``Payload-Oxum``,
    bytes and files) is added. ``seen`` is told of every part that was read. Half-written files of
    a run that was cut off are left out and removed.
    """
    for left in (folder / DATA).rglob("*.part"):
        left.unlink()
    size = count = 0
    manifest = folder / MANIFEST
    with manifest.open("w", encoding="utf-8", newline="\n") as lines:
        for name in payload_names(folder):
            path = folder / name
            lines.write(f"{digest_of_file(path, seen)}  {name}\n")
            size += path.stat().st_size
            count += 1
    told = {**info, "Payload-Oxum": f"{size}.{count}"}
    words = "".join(f"{label}: {_one_line(text)}\n" for label, text in told.items() if text)
    _write(folder / INFO, words)
    _write(folder / DECLARED, DECLARATION)
    tags = sorted(TAG_FILES)
    _write(
        folder / TAG_MANIFEST,
        "".join(f"{digest_of_file(folder / name)}  {name}\n" for name in tags),
    )
    return size, count


def _write(path: Path, text: str) -> None:
    path.write_bytes(text.encode())


def _one_line(text: str) -> str:
    return " ".join(text.split())


def faults_of_bag(folder: Path, seen: Seen = no_notice) -> Iterator[str]:
    """Yield in words everything that is not as the lists say; nothing for a whole bag.

    Files may be missing, changed or added, in the payload and among the tag files.
    """
    missing = [name for name in (*TAG_FILES, TAG_MANIFEST) if not (folder / name).is_file()]
    if missing or not (folder / DATA).is_dir():
        yield f"This is no whole package: {', '.join(missing or [DATA])} is missing."
        return
    declared = (folder / DECLARED).read_text(encoding="utf-8")
    if "BagIt-Version: 1.0" not in declared.splitlines():
        yield f"{DECLARED} does not say that this is a bag of version 1.0."
    yield from _faults_of_list(folder, TAG_MANIFEST, {}, seen)
    there = {unicodedata.normalize("NFC", name): name for name in payload_names(folder)}
    yield from _faults_of_list(folder, MANIFEST, there, seen)
    for name in there:
        yield f"{name} is in the folder, but not in the checksum list."


def _faults_of_list(folder: Path, which: str, there: dict[str, str], seen: Seen) -> Iterator[str]:
    """Check one list; what it names is taken out of ``there``."""
    with (folder / which).open(encoding="utf-8") as lines:
        for number, line in enumerate(lines, start=1):
            found = _LINE.fullmatch(line.rstrip("\n"))
            if found is None:
                yield f"{which}, line {number} can't be read."
                continue
            name = found["path"]
            real = there.pop(unicodedata.normalize("NFC", name), name)
            path = folder / real
            if ".." in Path(real).parts or Path(real).is_absolute():
                yield f"{which}, line {number} names a file outside the package."
            elif not path.is_file():
                yield f"{name} is in the checksum list, but not in the folder."
            elif digest_of_file(path, seen) != found["digest"].lower():
                yield f"{name} is not what it was when the package was made."
