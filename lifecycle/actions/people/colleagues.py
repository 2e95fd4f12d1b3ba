"""Somebody new in the house, in one go: on record, with roles from today, and an account."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from lifecycle.actions.people.accounts import open_account
from lifecycle.actions.people.names import PersonDetails, add_person
from lifecycle.actions.people.posts import give_role
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person


@transaction.atomic
def add_colleague(
    *,
    by: Person,
    role: Role,
    at: datetime,
    details: PersonDetails,
    roles: Sequence[Role] = (),
    username: str = "",
) -> Person:
    """Put somebody on record with roles that begin today and, with a sign-in name, an account.

    An account without a password waits for its one-time link. All of it, or nothing.
    """
    person = add_person(by=by, role=role, at=at, details=details)
    today = museum_day(at)
    for given in dict.fromkeys(roles):
        try:
            give_role(by=by, role=role, at=at, person=person, given=given, from_on=today)
        except Refused as refused:
            raise Refused([replace(one, field="roles") for one in refused.reasons]) from refused
    if username.strip():
        open_account(by=by, role=role, at=at, person=person, username=username)
    person.refresh_from_db()
    return person
