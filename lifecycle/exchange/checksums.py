"""Checksums that come with delivered files, and the one that is computed from what came.

A list is written as `sha256sum` writes it, one file a line: 64 hexadecimal digits, a space, a space
or an asterisk, the name. A single checksum may stand alone where one file came.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from typing import Final

from lifecycle.exchange.pictures.kinds import Source, as_file

_LINE: Final = re.compile(r"([0-9a-fA-F]{64})(?:\s+\*?(\S.*))?")
_PIECE: Final = 1 << 20


class BadChecksums(ValueError):
    """What was typed as checksums can't be read; the text says which line and how to write it."""


def read_checksums(text: str, names: Sequence[str]) -> Mapping[str, str]:
    """Return the checksum said of each named file, in lower case; files may be left out.

    :raises BadChecksums: for a line that is none, a name that no file has, or one named twice
    """
    said: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        found = _LINE.fullmatch(line.strip())
        if found is None:
            raise BadChecksums(
                f"Line {number} is no checksum: 64 digits from 0 to 9 and a to f, two spaces, the "
                "name of the file."
            )
        digest, name = found.group(1).lower(), (found.group(2) or "").strip()
        if not name and len(names) > 1:
            raise BadChecksums(f"Line {number} names no file: several came.")
        name = name.replace("\\", "/").rsplit("/", 1)[-1] or names[0]
        if name not in names:
            raise BadChecksums(f"Line {number} is about {name}, which did not come.")
        if said.get(name, digest) != digest:
            raise BadChecksums(f"{name} has two checksums; give the one of the file that came.")
        said[name] = digest
    return said


def sha256_of(source: Source) -> str:
    """Return the SHA-256 of a file as it came, in lower-case hexadecimal digits."""
    file = as_file(source)
    file.seek(0)
    found = hashlib.sha256()
    while piece := file.read(_PIECE):
        found.update(piece)
    file.seek(0)
    return found.hexdigest()
