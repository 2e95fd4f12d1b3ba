"""Copies of a kept picture that the worker makes: levels, screen picture, thumbnail."""

from datetime import datetime
from typing import Final

from django.core.files.storage import default_storage

from lifecycle.actions.work.rows import OPEN, ask
from lifecycle.exchange.kept_files import keep_file, writing
from lifecycle.exchange.pictures.levels import Telling, draw_levels
from lifecycle.queries.pictures import (
    copies_missing,
    copies_work,
    levels_in,
    levels_path,
    picture_path,
)
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.work import Work, WorkKind

#: How many pictures of earlier years are asked for in one night.
MOST_IN_A_NIGHT: Final = 500


def ask_for_copies(*, picture: Picture, by: Person | None, at: datetime) -> Work | None:
    """Have the worker make what is missing; None when nothing is, or it is asked for already."""
    if not copies_missing(picture):
        return None
    known = copies_work(picture)
    if known is not None and known.state in OPEN:
        return None
    return ask(
        kind=WorkKind.PICTURE_COPIES,
        key=f"picture/{picture.sha256}/{at:%Y%m%dT%H%M%S%f}",
        by=by,
        at=at,
        inputs={"picture": str(picture.uid)},
    )


def ask_for_missing_copies(*, at: datetime) -> int:
    """Ask for the copies of pictures that have none: kept by an earlier version, or lost.

    A picture that could not be read is not asked for again: its work is done.
    """
    unreadable = set(
        Work.objects.filter(kind=WorkKind.PICTURE_COPIES, results__bad__isnull=False).values_list(
            "inputs__picture", flat=True
        )
    )
    asked = 0
    for picture in Picture.objects.order_by("-pk").iterator():
        if asked == MOST_IN_A_NIGHT:
            break
        if str(picture.uid) not in unreadable and ask_for_copies(picture=picture, by=None, at=at):
            asked += 1
    return asked


def make_copies(*, picture: Picture, tell: Telling) -> None:
    """Make levels, screen picture and thumbnail; each file appears whole or not at all.

    :raises BadPicture: if the kept file can't be read to its end
    """
    original = picture_path(picture.sha256, "original", picture.mime)
    with default_storage.open(original) as file, writing(levels_path(picture.sha256)) as levels:
        screen, thumbnail = draw_levels(file, levels, tell)
    if not levels_in(picture.width, picture.height):
        default_storage.delete(levels_path(picture.sha256))
    keep_copies(picture.sha256, screen, thumbnail)


def keep_copies(sha256: str, screen: bytes, thumbnail: bytes) -> None:
    """Keep the screen picture and the thumbnail of a picture."""
    keep_file(picture_path(sha256, "screen", "image/jpeg"), screen)
    keep_file(picture_path(sha256, "thumbnail", "image/jpeg"), thumbnail)
