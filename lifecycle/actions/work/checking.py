"""Ask for the check of all signed records and kept files: each night, or by the steward."""

from datetime import datetime

from lifecycle.actions.work.by_night import ask_by_night, ask_now
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Person
from lifecycle.records.models.work import Work, WorkKind

NIGHT_HOUR = 3


def ask_for_nightly_check(*, at: datetime) -> Work | None:
    """Write the night's check once 03:00 has come in the museum's zone; None before that."""
    return ask_by_night(kind=WorkKind.CHECK_RECORDS, stem="check", hour=NIGHT_HOUR, at=at)


def ask_for_check(*, by: Person, role: Role, at: datetime) -> Work:
    """Have everything checked now; refused while a check is running."""
    busy = "A check is under way already; wait for it, or stop it first."
    return ask_now(by=by, role=role, at=at, kind=WorkKind.CHECK_RECORDS, stem="check", busy=busy)
