"""Keep a picture or a scan: the file by the hash of its content first, then the row."""

from datetime import datetime
from functools import partial
from typing import Final

from django.db import transaction

from lifecycle.actions.picture_copies import ask_for_copies, keep_copies
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.exchange.kept_files import keep_file, keep_pieces
from lifecycle.exchange.pictures.kinds import BadPicture, Source
from lifecycle.exchange.pictures.reading import CheckedPicture, check_document, check_picture
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.pictures import document_path, picture_path
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document, Picture, PicturePurpose

NAME_LENGTH: Final = 200


def receive_picture(data: Source, field: str = "picture") -> CheckedPicture:
    """Read a picture to its end and write its files; its row may follow.

    This takes seconds for a big one: call it before a transaction begins, for the embedded
    database lets nobody else write during one.

    :raises Refused: beside ``field``, if the bytes are no picture that can be kept
    """
    try:
        checked = check_picture(data)
    except BadPicture as bad:
        raise Refused(Reason(str(bad), field, "picture.bad")) from bad
    _write_files(checked)
    return checked


def _write_files(checked: CheckedPicture) -> None:
    original = picture_path(checked.sha256, "original", checked.mime)
    keep_pieces(original, checked.pieces(), checked.size_bytes)
    if checked.screen is not None and checked.thumbnail is not None:
        keep_copies(checked.sha256, checked.screen, checked.thumbnail)


def store_picture(
    *,
    data: Source | CheckedPicture,
    name: str,
    purpose: PicturePurpose,
    by: Person,
    role: Role,
    at: datetime,
    face: Face | None = None,
    museum_object: MuseumObject | None = None,
    light: LightKind | None = None,
    scale_present: bool = False,
    taken_at: datetime | None = None,
    taken_by: Person | None = None,
    rights: str = "",
    field: str = "picture",
) -> Picture:
    """Keep a picture and return its row; the worker makes what is not made at once.

    ``data`` is the bytes, the sent file itself (a big one is never held in memory), or what
    ``receive_picture`` made of it.

    :raises Refused: beside ``field``, if the bytes are no picture that can be kept
    """
    checked = data if isinstance(data, CheckedPicture) else receive_picture(data, field)
    if museum_object is None and face is not None:
        museum_object = face.museum_object
    picture = Picture(
        sha256=checked.sha256,
        name=_short_name(name) or f"picture.{checked.suffix}",
        mime=checked.mime,
        width=checked.width,
        height=checked.height,
        size_bytes=checked.size_bytes,
        museum_object=museum_object,
        face=face,
        purpose=purpose,
        light=light or "",
        scale_present=scale_present,
        rights=rights,
        taken_at=taken_at,
        taken_by=taken_by,
        entered_at=at,
    )
    with transaction.atomic():
        picture.keep(by=by, role=role, why="picture kept", at=at)
        ask_for_copies(picture=picture, by=by, at=at)
        # The same bytes may have come in a form that was refused meanwhile, and have gone with it.
        transaction.on_commit(partial(_write_files, checked))
    return picture


@transaction.atomic
def store_document(
    *,
    data: Source,
    name: str,
    title: str,
    by: Person,
    role: Role,
    at: datetime,
    field: str = "scan",
) -> Document:
    """Keep a scan (PDF, JPEG, PNG) and return its row.

    :raises Refused: beside ``field``, if the bytes are no document that can be kept
    """
    try:
        checked = check_document(data)
    except BadPicture as bad:
        raise Refused(Reason(str(bad), field, "scan.bad")) from bad
    keep = partial(keep_file, document_path(checked.sha256, checked.mime), checked.data)
    keep()
    transaction.on_commit(keep)  # as with a picture
    document = Document(
        sha256=checked.sha256,
        name=_short_name(name) or f"scan.{checked.suffix}",
        mime=checked.mime,
        size_bytes=len(checked.data),
        title=title[:NAME_LENGTH],
        entered_at=at,
        entered_by=by,
    )
    return document.keep(by=by, role=role, why="scan kept", at=at)


def _short_name(name: str) -> str:
    """The last part of a sender's path, without control characters, cut to the column."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(letter for letter in last if letter.isprintable())[-NAME_LENGTH:]
