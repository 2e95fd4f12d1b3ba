"""Accounts to sign in with: opened, given a password, ended; never deleted."""

from datetime import date, datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Account, Person


def _password_reasons(password: str, account: Account) -> list[Reason]:
    try:
        validate_password(password, account)
    except ValidationError as wrong:
        return [Reason(message, "password") for message in wrong.messages]
    return []


@transaction.atomic
def open_account(
    *, by: Person, role: Role, at: datetime, person: Person, username: str, password: str
) -> Account:
    """Give somebody an account to sign in with."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    username = username.strip()
    reasons = []
    if stored.account_id is not None:
        reasons.append(Reason(f"{stored.full_name} has an account already.", "username"))
    if not username:
        reasons.append(Reason("Choose a name to sign in with.", "username"))
    elif Account.objects.filter(username__iexact=username).exists():
        reasons.append(Reason(f"“{username}” is somebody's sign-in name already.", "username"))
    reasons += _password_reasons(password, Account(username=username, email=stored.email))
    if reasons:
        raise Refused(reasons)
    account = Account.objects.create_user(username=username, password=password)
    stored.account = account
    stored.keep(by=by, role=role, why="Account opened.", at=at)
    return account


@transaction.atomic
def set_password(*, by: Person, role: Role, at: datetime, person: Person, password: str) -> Account:
    """Set somebody's password; every session opened with the old one ends."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    account = stored.account
    if account is None:
        raise Refused(f"{stored.full_name} has no account yet: open one first.")
    if reasons := _password_reasons(password, account):
        raise Refused(reasons)
    account.set_password(password)
    account.save(update_fields=["password"])
    stored.keep(by=by, role=role, why="Password set by the steward.", at=at)
    return account


@transaction.atomic
def end_account(
    *, by: Person, role: Role, at: datetime, person: Person, ends_on: date, why: str
) -> Person:
    """Set the last day on which somebody may sign in; what they signed stays theirs."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    reasons = []
    if stored.pk == by.pk and ends_on < museum_day(at):
        reasons.append(Reason("You cannot end your own account for a day gone by.", "ends_on"))
    if not why.strip():
        reasons.append(Reason("Say why the account ends.", "why"))
    if reasons:
        raise Refused(reasons)
    stored.ends_on = ends_on
    return stored.keep(by=by, role=role, why=why, at=at)
