"""Keep a file of the store whole or not at all.

A file of the store is named after its content and taken as kept once it is there. So it is written
beside its place first, under a name that nobody reads, and gets its own name in one step: what a
killed upload leaves is no file of the store.
"""

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import IO, Final
from uuid import uuid4

from django.conf import settings
from django.core.files.storage import default_storage

#: How names begin while their file is being written; ``stored_files`` passes them over.
UNFINISHED: Final = ".unfinished-"
_WRITTEN: ContextVar[list[str] | None] = ContextVar("files written in this block", default=None)


@contextmanager
def newly_written() -> Iterator[list[str]]:
    """The names of the files that come into the store within the block, as they come."""
    names: list[str] = []
    outside = _WRITTEN.set(names)
    try:
        yield names
    finally:
        _WRITTEN.reset(outside)


@contextmanager
def writing(path: str) -> Iterator[IO[bytes]]:
    """A file to write into; under its name in the store once the block ends well, else gone."""
    place = Path(default_storage.path(path))
    place.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=place.parent, prefix=UNFINISHED)
    try:
        with os.fdopen(handle, "w+b") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, settings.FILE_UPLOAD_PERMISSIONS or 0o644)  # mkstemp gives 0600
        os.replace(beside, place)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def keep_pieces(path: str, pieces: Iterable[bytes], size: int) -> None:
    """Write ``size`` bytes under their name in the store; the same content is the same file.

    A file of another length under that name was left half written by something else, and is
    written anew.
    """
    if default_storage.exists(path) and default_storage.size(path) == size:
        return
    with writing(path) as file:
        for piece in pieces:
            file.write(piece)
    if (names := _WRITTEN.get()) is not None:
        names.append(path)


def keep_file(path: str, data: bytes) -> None:
    """Write ``data`` under its name in the store, as ``keep_pieces`` does."""
    keep_pieces(path, [data], len(data))


def take_out(path: str, *, unless: Callable[[], bool]) -> None:
    """Take a file out of the store, unless ``unless`` says so once it is not there any more.

    It is laid aside first and asked after then: who keeps the same content at this moment finds no
    file and writes it, or is seen by ``unless``, and it is put back.
    """
    place = Path(default_storage.path(path))
    aside = place.with_name(f"{UNFINISHED}{uuid4().hex}")
    try:
        os.replace(place, aside)
    except FileNotFoundError:
        return
    if unless():
        os.replace(aside, place)
    else:
        aside.unlink()
