"""One-time links: made when they are shown or mailed, kept nowhere."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from allauth.account.adapter import get_adapter
from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.conf import settings

from lifecycle.records.models import Account, Person


@dataclass(frozen=True, slots=True)
class OneTimeLink:
    """A link that lets its holder choose a password, once, until a moment."""

    address: str
    until: datetime


def one_time_link(account: Account, at: datetime) -> OneTimeLink:
    """Make the link of an account as it stands now.

    It rests on the password and the last sign-in of this moment: once either changes, or another
    link is issued, it opens nothing.
    """
    key = f"{user_pk_to_url_str(account)}-{default_token_generator.make_token(account)}"
    address = get_adapter().get_reset_password_from_key_url(key)
    return OneTimeLink(address, at + timedelta(seconds=settings.PASSWORD_RESET_TIMEOUT))


def mail_link(person: Person, link: OneTimeLink, museum: str) -> None:
    """Mail a link to the address on record."""
    context = {"person": person, "link": link, "museum": museum}
    get_adapter().send_mail("account/email/one_time_link", person.email, context)
