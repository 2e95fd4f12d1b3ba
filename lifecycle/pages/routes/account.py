"""Addresses of signing in and out, of two-step sign-in, and of the look of the screen."""

from allauth.account import views as account
from django.urls import URLPattern, URLResolver, include, path

from lifecycle.pages import sign_in, theme

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-in/as/<uuid:uid>/", sign_in.sign_in_as, name="sign-in-as"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path("theme/", theme.set_theme, name="theme"),
    path("keys/", theme.keys, name="keys"),
    path("account/sign-in/", account.login, name="account_login"),
    path("account/sign-out/", account.logout, name="account_logout"),
    path("account/sign-up/", sign_in.no_sign_up, name="account_signup"),
    path("account/ended/", account.account_inactive, name="account_inactive"),
    path("account/again/", account.reauthenticate, name="account_reauthenticate"),
    path("account/password/", account.password_change, name="account_change_password"),
    path("account/password/set/", account.password_set, name="account_set_password"),
    path("account/two-step/", include("allauth.mfa.urls")),
]
