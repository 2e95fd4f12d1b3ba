"""Ask for the check of all signed records and kept files: each night, or by the steward."""

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

NIGHT_HOUR = 3


def ask_for_nightly_check(*, at: datetime) -> Work | None:
    """Write the night's check once 03:00 has come in the museum's zone; None before that."""
    here = at.astimezone(museum_zone())
    if here.hour < NIGHT_HOUR:
        return None
    return ask(kind=WorkKind.CHECK_RECORDS, key=f"check/{here.date()}", by=None, at=at)


@transaction.atomic
def ask_for_check(*, by: Person, role: Role, at: datetime) -> Work:
    """Have everything checked now; refused while a check is running."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    if Work.objects.select_for_update().filter(kind=WorkKind.CHECK_RECORDS, state__in=OPEN):
        raise Refused("A check is under way already; wait for it, or stop it first.")
    return ask(kind=WorkKind.CHECK_RECORDS, key=f"check/{at.isoformat()}", by=by, at=at)
