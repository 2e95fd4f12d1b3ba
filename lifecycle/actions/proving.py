"""Proving oneself again, to sign: by password, or by the code of the second step.

Who signs in through single sign-on alone has no password here; the code of their second step
stands in its place, in the same field, so that signing works without leaving the form.
"""

from collections.abc import Iterator

from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import validate_totp_code
from allauth.mfa.utils import decrypt

from lifecycle.actions.refusals import Reason
from lifecycle.actions.trials import count_wrong, too_many
from lifecycle.records.models import Account

FIELD = "password"
CODE = "signing.password"


def faults_of_proof(account: Account, typed: str) -> Iterator[Reason]:
    """Yield why ``typed`` does not prove that the holder of the account is here; else nothing."""
    by_code = not account.has_usable_password()
    if not typed:
        asked = "the code of your second step" if by_code else "your password again"
        yield Reason(f"Type {asked} to sign.", FIELD, CODE)
        return
    if too_many("proof", account.username):
        text = "Too many wrong tries; nothing was signed. Wait a quarter of an hour, then sign."
        yield Reason(text, FIELD, CODE)
        return
    if by_code:
        yield from _faults_of_code(account, typed)
    elif not account.check_password(typed):
        count_wrong("proof", account.username)
        text = "This is not the password of your account; nothing was signed. Type it again."
        yield Reason(text, FIELD, CODE)


def _faults_of_code(account: Account, typed: str) -> Iterator[Reason]:
    step = Authenticator.objects.filter(user=account, type=Authenticator.Type.TOTP).first()
    if step is None:
        text = (
            "You sign in without a password, so a signature takes the code of a second step: "
            "set one up on your own page, then sign."
        )
        yield Reason(text, FIELD, CODE)
    elif not validate_totp_code(decrypt(step.data["secret"]), typed.replace(" ", "")):
        count_wrong("proof", account.username)
        text = "This is not the code of your second step; nothing was signed. Type the next one."
        yield Reason(text, FIELD, CODE)
