"""Addresses of signing in and out, of passwords and second steps, and of the look of the screen."""

from allauth.account import views as account
from allauth.mfa.base import views as second_step
from allauth.mfa.recovery_codes import views as spare_codes
from allauth.mfa.totp import views as device
from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path, re_path

from lifecycle.pages import beginning, sign_in, theme
from lifecycle.pages.door import in_our_frame

urlpatterns: list[URLPattern | URLResolver] = [
    path("begin/", beginning.beginning, name="beginning"),
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-in/as/<uuid:uid>/", sign_in.sign_in_as, name="sign-in-as"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path("theme/", theme.set_theme, name="theme"),
    path("keys/", theme.keys, name="keys"),
    path("account/sign-in/", account.login, name="account_login"),
    path("account/sign-out/", account.logout, name="account_logout"),
    path("account/sign-up/", sign_in.no_sign_up, name="account_signup"),
    path("account/ended/", account.account_inactive, name="account_inactive"),
    path("account/again/", in_our_frame(account.reauthenticate), name="account_reauthenticate"),
    path(
        "account/password/", in_our_frame(account.password_change), name="account_change_password"
    ),
    path(
        "account/password/set/", in_our_frame(sign_in.no_password_here), name="account_set_password"
    ),
    path("account/password/reset/", account.password_reset, name="account_reset_password"),
    path(
        "account/password/reset/asked/",
        account.password_reset_done,
        name="account_reset_password_done",
    ),
    path(
        "account/password/reset/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    re_path(
        r"^account/password/reset/key/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path("account/two-step/", in_our_frame(second_step.index), name="mfa_index"),
    path("account/two-step/code/", second_step.authenticate, name="mfa_authenticate"),
    path(
        "account/two-step/again/",
        in_our_frame(second_step.reauthenticate),
        name="mfa_reauthenticate",
    ),
    path("account/two-step/set-up/", in_our_frame(device.activate_totp), name="mfa_activate_totp"),
    path(
        "account/two-step/take-off/",
        in_our_frame(device.deactivate_totp),
        name="mfa_deactivate_totp",
    ),
    path(
        "account/two-step/spare/",
        in_our_frame(spare_codes.view_recovery_codes),
        name="mfa_view_recovery_codes",
    ),
    path(
        "account/two-step/spare/new/",
        in_our_frame(spare_codes.generate_recovery_codes),
        name="mfa_generate_recovery_codes",
    ),
    path(
        "account/two-step/spare/file/",
        spare_codes.download_recovery_codes,
        name="mfa_download_recovery_codes",
    ),
]

if settings.SSO:
    urlpatterns += [
        path("account/identity/refused/", sign_in.not_signed_in, name="socialaccount_login_error"),
        path("account/identity/left/", sign_in.not_signed_in, name="socialaccount_login_cancelled"),
        path("account/identity/new/", sign_in.no_sign_up, name="socialaccount_signup"),
        path("account/", include("lifecycle.pages.account.provider_routes")),
    ]
