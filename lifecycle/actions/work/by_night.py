"""Ask for work that is done once each night, or now by the steward."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work.rows import OPEN, ask
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.records.models.people import Person
from lifecycle.records.models.work import Work, WorkKind


def ask_by_night(*, kind: WorkKind, stem: str, hour: int, at: datetime) -> Work | None:
    """Write the night's work once ``hour`` has come in the museum's zone; None before that.

    Its key is ``stem`` and the day, so that a night has one however often it is asked for.
    """
    here = at.astimezone(museum_zone())
    if here.hour < hour:
        return None
    return ask(kind=kind, key=f"{stem}/{here.date()}", by=None, at=at)


@transaction.atomic
def ask_now(*, by: Person, role: Role, at: datetime, kind: WorkKind, stem: str, busy: str) -> Work:
    """Have it done now.

    :raises Refused: with ``busy`` while the same is under way
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    if Work.objects.select_for_update().filter(kind=kind, state__in=OPEN):
        raise Refused(busy)
    return ask(kind=kind, key=f"{stem}/{at.isoformat()}", by=by, at=at)
