"""What the house answers where the account library asks: passwords, mails, addresses of links."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.actions.people import choose_password
from lifecycle.jobs.link_mail import send_soon
from lifecycle.pages.account.doors import password_opens
from lifecycle.records.models import Account, Person


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """Accounts are made by the steward alone; passwords are kept in the person's history."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": "This name and password do not open an account here.",
        "too_many_login_attempts": "Too many wrong tries. Nothing is locked for good: wait a "
        "quarter of an hour, then try again, or ask the records steward for a new link.",
        "enter_current_password": "This is not your present password.",
        "incorrect_password": "This is not your password.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody makes an account of their own."""
        return False

    def authenticate(self, request: HttpRequest, **credentials: Any) -> Account | None:
        """Check a password; where the house signs in elsewhere, it opens the steward's door alone.

        The answer is the same as for a wrong password, so that nobody learns which it was.
        """
        account = super().authenticate(request, **credentials)
        if isinstance(account, Account) and password_opens(account, now()):
            return account
        return None

    def set_password(self, user: Account, password: str) -> None:
        """Keep the person's own choice, with a line in their history."""
        choose_password(account=user, password=password, at=now())

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Hand the mail over beside the answer: how long a page takes tells nobody anything."""
        send_soon(
            self.render_mail(template_prefix, email, {**context, "hours": settings.LINK_HOURS})
        )

    def send_password_reset_mail(self, user: Account, email: str, context: dict[str, Any]) -> None:
        """Write to the address on record, never to what was typed: the two may only look alike."""
        address = Person.objects.filter(account=user).values_list("email", flat=True).first()
        if address:
            super().send_password_reset_mail(user, address, context)

    def get_reset_password_from_key_url(self, key: str) -> str:
        """The address of a one-time link, at the address the settings give the house."""
        uid, _, secret = key.partition("-")
        path = reverse("account_reset_password_from_key", args=[uid, secret])
        return f"{settings.SITE_URL}{path}"

    def send_notification_mail(self, *args: Any, **kwargs: Any) -> None:
        """No mails about one's own deeds: the history has them."""
