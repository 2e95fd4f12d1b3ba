"""Single sign-on: an identity opens the account the steward tied it to, and never makes one.

Who comes is known by the provider's own word for them ('sub', OpenID Connect Core 1.0, section 2),
or, the first time, by a mail address that the provider calls verified and the steward entered.
"""

import logging
from typing import Any, NoReturn

import requests
from allauth.account.adapter import get_adapter as account_adapter
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.socialaccount.adapter import DefaultSocialAccountAdapter
from allauth.socialaccount.providers.base import AuthProcess
from allauth.socialaccount.providers.oauth2.client import OAuth2Error
from allauth.socialaccount.providers.openid_connect import views
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.timezone import now

from lifecycle.actions.people import tie_identity
from lifecycle.pages.account.doors import accounts_by_mail
from lifecycle.records.models import Account

logger = logging.getLogger(__name__)


class IdentityAdapter(DefaultSocialAccountAdapter):  # type: ignore[misc]
    """Lets in who is on record, tells everybody else whom to ask; keeps no row of its own."""

    def pre_social_login(self, request: HttpRequest, sociallogin: Any) -> None:
        """Find the account of an identity; what the provider says about it is not kept."""
        uid, claims = str(sociallogin.account.uid), _claims(sociallogin)
        account = account_of(uid, claims)
        if account is None or not claims:
            _turn_away(request, uid, claims)
        if not account.is_active:
            raise ImmediateHttpResponse(account_adapter().respond_user_inactive(request, account))
        sociallogin.user = account
        # Whatever was asked for: an identity signs in, it is never added to another account.
        sociallogin.state["process"] = AuthProcess.LOGIN

    def is_open_for_signup(self, request: HttpRequest, sociallogin: Any) -> bool:
        """An identity nobody entered makes no account."""
        return False

    def on_authentication_error(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        """The provider refused or did not answer: say so, without its own words."""
        raise ImmediateHttpResponse(
            render(request, "account/provider_failed.html", {"sso": settings.SSO}, status=503)
        )


def account_of(uid: str, claims: dict[str, Any]) -> Account | None:
    """Return the account tied to this identity, tying it now where a proven address says so.

    One address that belongs to two accounts proves neither.
    """
    tied = Account.objects.filter(identity=uid).first()
    if tied is not None:
        return tied
    proven = claims.get("email_verified") is True or settings.SSO_TRUSTS_MAIL
    address = str(claims.get("email") or "")
    if not proven or not address:
        return None
    at = now()
    found = accounts_by_mail(address, at)
    if len(found) != 1 or not tie_identity(account=found[0], identity=uid, at=at):
        return None
    return Account.objects.get(pk=found[0].pk)


def _claims(sociallogin: Any) -> dict[str, Any]:
    """What one source says: the endpoint asked with the token, else the signed token itself."""
    data = sociallogin.account.extra_data or {}
    asked, signed = data.get("userinfo") or {}, data.get("id_token") or {}
    if asked and signed and asked.get("sub") != signed.get("sub"):
        return {}
    return dict(asked or signed)


def _turn_away(request: HttpRequest, uid: str, claims: dict[str, Any]) -> NoReturn:
    context = {"uid": uid, "mail": str(claims.get("email") or ""), "sso": settings.SSO}
    raise ImmediateHttpResponse(render(request, "account/unknown.html", context, status=403))


def to_the_provider(request: HttpRequest, provider_id: str) -> HttpResponse:
    """Send the browser to the provider; a provider that does not answer is said in words."""
    return _or_failed(request, views.login, provider_id)


def from_the_provider(request: HttpRequest, provider_id: str) -> HttpResponse:
    """Take in who comes back."""
    return _or_failed(request, views.callback, provider_id)


def _or_failed(request: HttpRequest, view: Any, provider_id: str) -> HttpResponse:
    try:
        answer: HttpResponse = view(request, provider_id)
    except (requests.RequestException, OAuth2Error, KeyError, ValueError) as trouble:
        # Its words may repeat tokens; what kind of trouble it was is enough.
        logger.warning("The identity provider did not answer well: %s.", type(trouble).__name__)
        return render(request, "account/provider_failed.html", {"sso": settings.SSO}, status=503)
    return answer
