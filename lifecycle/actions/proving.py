"""Proving oneself again, to sign: by password, or by the code of the second step.

Who signs in through single sign-on alone has no password here; the code of their second step
stands in its place, in the same field, so that signing works without leaving the form.

Two people often sign on one screen, so what is said names the person whose proof was asked for, as
the form does already; it says nothing of their account that signing does not take.
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
    """Yield why ``typed`` does not prove that the holder of the account is here; else nothing.

    The account is that of a person on record: nobody else signs.
    """
    by_code = not account.has_usable_password()
    whose = account.person.full_name
    if not typed:
        asked = "the code of the second step" if by_code else "the password"
        yield Reason(f"Type {asked} of {whose} again, to sign.", FIELD, CODE)
        return
    if too_many("proof", account.username):
        text = (
            f"Too many wrong tries to sign as {whose}; nothing was signed. Wait a quarter of an "
            "hour, then sign."
        )
        yield Reason(text, FIELD, CODE)
        return
    if by_code:
        yield from _faults_of_code(account, whose, typed)
    elif not account.check_password(typed):
        count_wrong("proof", account.username)
        text = f"This is not the password of {whose}; nothing was signed. Type it again."
        yield Reason(text, FIELD, CODE)


def _faults_of_code(account: Account, whose: str, typed: str) -> Iterator[Reason]:
    step = Authenticator.objects.filter(user=account, type=Authenticator.Type.TOTP).first()
    if step is None:
        text = (
            f"{whose} signs in without a password, so a signature takes the code of a second "
            "step: it is set up on one’s own page. Nothing was signed."
        )
        yield Reason(text, FIELD, CODE)
    elif not validate_totp_code(decrypt(step.data["secret"]), typed.replace(" ", "")):
        count_wrong("proof", account.username)
        text = (
            f"This is not the code of the second step of {whose}; nothing was signed. Type the "
            "next one."
        )
        yield Reason(text, FIELD, CODE)
