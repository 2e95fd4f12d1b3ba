"""A museum's own beginning: its name and zone, the starting words, and its first steward."""

from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from lifecycle.actions.people.accounts import open_account
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.starting import start_museum
from lifecycle.process.stages import Role
from lifecycle.queries.clock import zone_named
from lifecycle.records.models import PaperSize, Person, RoleAssignment


@transaction.atomic
def begin(
    *,
    museum: str,
    zone: str,
    full_name: str,
    email: str,
    username: str,
    password: str,
    at: datetime,
    paper_size: PaperSize = PaperSize.A4,
) -> Person:
    """Write the museum and the one person who can add everybody else: all of it, or nothing.

    :raises Refused: with every reason at once
    """
    reasons = []
    if not museum.strip():
        reasons.append(Reason("Name the museum.", "museum"))
    if not full_name.strip():
        reasons.append(Reason("Name the first steward in full.", "full_name"))
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError):
        said = f"“{zone}” is no time zone; write it like Europe/London."
        reasons.append(Reason(said, "zone"))
    if email:
        try:
            validate_email(email)
        except ValidationError:
            reasons.append(Reason(f"“{email}” is no mail address.", "email"))
    if not password:
        reasons.append(Reason("Choose a password.", "password"))
    if reasons:
        raise Refused(reasons)
    start_museum(name=museum.strip(), zone=zone, is_demo=False, at=at, paper_size=paper_size)
    why = "The first steward, named when the museum began."
    person = Person(full_name=full_name.strip(), email=email)
    person.keep(by=None, role="", why=why, at=at)
    RoleAssignment(
        person=person, role=Role.STEWARD, from_on=at.astimezone(zone_named(zone)).date()
    ).keep(by=None, role="", why=why, at=at)
    person.account = open_account(
        by=person, role=Role.STEWARD, at=at, person=person, username=username, password=password
    )
    return person
