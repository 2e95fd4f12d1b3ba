"""Addresses of single sign-on; read only where it is switched on, since its library is an extra."""

from django.urls import path

from lifecycle.pages.account import single_sign_on

urlpatterns = [
    path(
        "oidc/<slug:provider_id>/login/",
        single_sign_on.to_the_provider,
        name="openid_connect_login",
    ),
    path(
        "oidc/<slug:provider_id>/login/callback/",
        single_sign_on.from_the_provider,
        name="openid_connect_callback",
    ),
]
