"""Accounts to sign in with: opened, recovered, ended, opened again; never deleted.

A first password is chosen by the person who will use it, behind a link that works once. The link
itself is made in the pages and is nowhere kept: it rests on the account as it stands, so a new
link, a new password or a closed account makes it worthless.
"""

from datetime import date, datetime

from allauth.mfa.models import Authenticator
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.people.posts import steward_after
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
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


def _is_sign_in_name(text: str) -> bool:
    try:
        Account.username_validator(text)
    except ValidationError:
        return False
    return len(text) <= 150


@transaction.atomic
def open_account(
    *, by: Person, role: Role, at: datetime, person: Person, username: str, password: str = ""
) -> Account:
    """Give somebody an account to sign in with; without a password it waits for its link.

    The first steward alone chooses a password here, since nobody could send them a link.
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    username = username.strip()
    reasons = []
    if stored.account_id is not None:
        reasons.append(Reason(f"{stored.full_name} has an account already.", "username"))
    if not username:
        reasons.append(Reason("Choose a name to sign in with.", "username"))
    elif not _is_sign_in_name(username):
        said = "Letters, digits and @ . + - _ only, 150 at most."
        reasons.append(Reason(said, "username"))
    elif Account.objects.filter(username__iexact=username).exists():
        reasons.append(Reason(f"“{username}” is somebody's sign-in name already.", "username"))
    if password:
        reasons += _password_reasons(password, Account(username=username, email=stored.email))
    if reasons:
        raise Refused(reasons)
    account = Account.objects.create_user(username=username, password=password or None)
    stored.account = account
    stored.keep(by=by, role=role, why="Account opened.", at=at)
    return account


@transaction.atomic
def ready_for_link(
    *,
    by: Person,
    role: Role,
    at: datetime,
    person: Person,
    why: str,
    drop_second_factor: bool = False,
) -> Account:
    """Make an account ready for a new one-time link: the old password and every session end.

    With ``drop_second_factor`` the second step is taken off too, for somebody who lost theirs.
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().select_related(None).get(pk=person.pk)
    if stored.account_id is None:
        raise Refused(f"{stored.full_name} has no account yet: open one first.")
    account = Account.objects.select_for_update().get(pk=stored.account_id)
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say why; the reason stays in the history.", "why"))
    if not account.is_active or (stored.ends_on and stored.ends_on < museum_day(at)):
        reasons.append(Reason(f"The account of {stored.full_name} is closed: open it again first."))
    if reasons:
        raise Refused(reasons)
    account.set_unusable_password()
    account.save(update_fields=["password"])
    said = f"One-time link issued: {why.strip()}"
    if drop_second_factor:
        Authenticator.objects.filter(user=account).delete()
        said = f"One-time link issued, second step taken off: {why.strip()}"
    stored.keep(by=by, role=role, why=said, at=at)
    return account


@transaction.atomic
def choose_password(*, account: Account, password: str, at: datetime) -> None:
    """The person's own choice, behind a link or with the old password; kept in their history.

    :raises Refused: when the password is weak
    """
    stored = Account.objects.select_for_update().get(pk=account.pk)
    if reasons := _password_reasons(password, stored):
        raise Refused(reasons)
    stored.set_password(password)
    stored.save(update_fields=["password"])
    account.password = stored.password
    person = Person.objects.select_for_update().filter(account=stored).first()
    if person is not None:
        person.keep(by=person, role="", why="Password chosen by the person.", at=at)


@transaction.atomic
def name_identity(
    *, by: Person, role: Role, at: datetime, person: Person, identity: str, why: str
) -> Account:
    """Say who this person is at the house's single sign-on; empty unties them."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    if stored.account_id is None:
        raise Refused(f"{stored.full_name} has no account yet: open one first.")
    account = Account.objects.select_for_update().get(pk=stored.account_id)
    identity = identity.strip()
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say why; the reason stays in the history.", "why"))
    if len(identity) > 255:
        reasons.append(Reason("255 letters at most.", "identity"))
    taken = Account.objects.filter(identity=identity).exclude(pk=account.pk)
    if identity and taken.exists():
        reasons.append(Reason("Somebody else is tied to this identity already.", "identity"))
    if reasons:
        raise Refused(reasons)
    account.identity = identity
    account.save(update_fields=["identity"])
    said = "Identity at single sign-on named" if identity else "Identity at single sign-on untied"
    stored.keep(by=by, role=role, why=f"{said}: {why.strip()}", at=at)
    return account


@transaction.atomic
def tie_identity(*, account: Account, identity: str, at: datetime) -> bool:
    """Remember the identity that came with a proven mail address of this person.

    False when somebody is tied to it, or this account to another one, meanwhile.
    """
    stored = Account.objects.select_for_update().get(pk=account.pk)
    if stored.identity == identity:
        return True
    if stored.identity or Account.objects.filter(identity=identity).exists():
        return False
    stored.identity = identity
    stored.save(update_fields=["identity"])
    person = Person.objects.select_for_update().filter(account=stored).first()
    if person is not None:
        why = "First came through single sign-on with the mail address on record."
        person.keep(by=person, role="", why=why, at=at)
    return True


@transaction.atomic
def end_account(
    *,
    by: Person,
    role: Role,
    at: datetime,
    person: Person,
    ends_on: date,
    why: str,
    at_once: bool = False,
    drop_contact: bool = False,
) -> Person:
    """Set the last day on which somebody may sign in; what they signed stays theirs.

    ``at_once`` closes the account now: every session ends, no password or second step is left.
    ``drop_contact`` also forgets the mail address, in the history too: names prove the record,
    addresses do not.
    """
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    today = museum_day(at)
    reasons = []
    if stored.pk == by.pk and (at_once or ends_on < today):
        reasons.append(Reason("You cannot end your own account for a day gone by.", "ends_on"))
    if not steward_after(stored, today if at_once else ends_on):
        said = "Nobody would be steward after that day: give the role to somebody else first."
        reasons.append(Reason(said, "ends_on"))
    if not why.strip():
        reasons.append(Reason("Say why the account ends.", "why"))
    if drop_contact and not (at_once or ends_on < today):
        said = "The address is needed until the account is closed: drop it then."
        reasons.append(Reason(said, "drop_contact"))
    if reasons:
        raise Refused(reasons)
    stored.ends_on = min(ends_on, today) if at_once else ends_on
    if drop_contact:
        stored.email, stored.letter_hour = "", None
        # Left on purpose without a line of its own: what is forgotten must not stay in the past.
        stored.history.exclude(email="").update(email="")
    stored.keep(by=by, role=role, why=why, at=at)
    if at_once and stored.account_id is not None:
        _close(Account.objects.select_for_update().get(pk=stored.account_id), drop_contact)
    return stored


def _close(account: Account, drop_contact: bool) -> None:
    """No password, no second step, no identity, and no session outlives this."""
    account.is_active = False
    account.set_unusable_password()
    account.identity = ""
    if drop_contact:
        account.email = ""
    account.save(update_fields=["is_active", "password", "identity", "email"])
    Authenticator.objects.filter(user=account).delete()


@transaction.atomic
def reopen_account(
    *, by: Person, role: Role, at: datetime, person: Person, ends_on: date | None, why: str
) -> Person:
    """Open a closed account again, for somebody who comes back; roles are given apart."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    if stored.account_id is None:
        raise Refused(f"{stored.full_name} has no account yet: open one first.")
    if stored.pk == by.pk:
        raise NotAllowed("Another steward opens your account again.")
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say why the account is opened again.", "why"))
    if ends_on is not None and ends_on < museum_day(at):
        reasons.append(Reason("This day has gone by.", "ends_on"))
    if reasons:
        raise Refused(reasons)
    account = Account.objects.select_for_update().get(pk=stored.account_id)
    account.is_active = True
    account.save(update_fields=["is_active"])
    stored.ends_on = ends_on
    return stored.keep(by=by, role=role, why=why, at=at)
