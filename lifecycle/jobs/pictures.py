"""Copies of one kept picture in the worker, with progress; a file is whole or not there."""

import time
from typing import Final

from django.utils.timezone import now

from lifecycle.actions.picture_copies import make_copies
from lifecycle.actions.work import rows
from lifecycle.exchange.pictures.kinds import BadPicture
from lifecycle.planning.counting import counted
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.work import Work

#: Telling how far the work has come costs a write: not more often than this [s].
TELL_EVERY_S: Final = 0.5


class Stopped(Exception):
    """Somebody asked to stop, or another worker has the work."""


def picture_copies(work: Work) -> str | None:
    """Make levels, screen picture and thumbnail; None when it was stopped."""
    picture = Picture.objects.get(uid=work.inputs["picture"])
    told = [float("-inf")]

    def tell(done: int, total: int) -> None:
        if time.monotonic() - told[0] < TELL_EVERY_S:
            return
        told[0] = time.monotonic()
        doing = f"{done} of {counted(total, 'part')} of “{picture.name}”"
        if not rows.progress(work=work, done=done, total=total, doing=doing, at=now()):
            raise Stopped

    try:
        make_copies(picture=picture, tell=tell)
    except Stopped:
        return None
    except BadPicture as bad:
        work.results = {"bad": str(bad)}
        return f"“{picture.name}” can’t be shown: {bad}"
    except FileNotFoundError:
        work.results = {"bad": "Its file is missing from the store."}
        return f"“{picture.name}”: its file is missing from the store."
    return f"“{picture.name}” is ready to look into."
