"""A photograph that came with a form: bytes from the phone, kept with what it shows."""

from dataclasses import dataclass
from datetime import datetime

from lifecycle.actions.pictures import store_picture
from lifecycle.process.stages import Role
from lifecycle.records.models import Face, Person, Picture
from lifecycle.records.models.pictures import PicturePurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """The bytes as they were sent, and the sender's file name."""

    data: bytes
    name: str


def keep_photo(
    photo: Photo | None,
    *,
    purpose: PicturePurpose,
    face: Face,
    taken_at: datetime,
    by: Person,
    role: Role,
    at: datetime,
    field: str = "photo",
) -> Picture | None:
    """Keep the photograph and return its row; None when none was sent.

    :raises Refused: beside ``field``, when the bytes are no picture
    """
    if photo is None:
        return None
    return store_picture(
        data=photo.data,
        name=photo.name,
        purpose=purpose,
        face=face,
        taken_at=taken_at,
        taken_by=by,
        by=by,
        role=role,
        at=at,
        field=field,
    )
