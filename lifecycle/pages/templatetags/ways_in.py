"""How one may sign in here: ``{% load ways_in %}{% ways_in as ways %}``."""

from dataclasses import dataclass

from django import template
from django.conf import settings
from django.utils.timezone import now

from lifecycle.pages.account.doors import single_sign_on_only

register = template.Library()


@dataclass(frozen=True, slots=True)
class WaysIn:
    """The provider's name, whether it is the only way, and whether links come by mail."""

    provider: str
    provider_only: bool
    mail: bool


@register.simple_tag
def ways_in() -> WaysIn:
    """The ways in that the settings and the house rules of the day leave open."""
    return WaysIn(
        provider=settings.SSO.get("name", ""),
        provider_only=single_sign_on_only(now()),
        mail=settings.MAIL_READY,
    )
