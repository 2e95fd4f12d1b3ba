"""A picture that comes with a form: read before the transaction, kept with what it shows."""

from typing import Any

from lifecycle.actions.pictures import receive_picture, store_picture
from lifecycle.exchange.pictures.reading import CheckedPicture
from lifecycle.pages.door import SignedInRequest
from lifecycle.process.stages import Role
from lifecycle.records.models import Face, Picture, PicturePurpose

Received = tuple[CheckedPicture, str]


def receive_sent(sent: Any, field: str = "picture") -> Received | None:
    """Read the file that was sent, if any; call it before the transaction begins.

    :raises Refused: beside ``field``, if it is no picture that can be kept
    """
    return (receive_picture(sent, field), sent.name) if sent else None


def keep_sent(
    request: SignedInRequest,
    role: Role,
    received: Received | None,
    purpose: PicturePurpose,
    **shown: Any,
) -> Picture | None:
    """Keep what was read; ``shown`` says what is on it and when it was taken, else now."""
    if received is None:
        return None
    checked, name = received
    return store_picture(
        data=checked,
        name=name,
        purpose=purpose,
        by=request.person,
        role=role,
        at=request.at,
        **{"taken_at": request.at, "taken_by": request.person, **shown},
    )


def keep_detail(
    request: SignedInRequest, role: Role, face: Face, received: Received | None
) -> Picture | None:
    """Keep what was read as the picture of a detail of this face."""
    return keep_sent(request, role, received, PicturePurpose.DAMAGE_DETAIL, face=face)
