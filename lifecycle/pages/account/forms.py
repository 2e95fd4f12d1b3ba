"""The library's forms in our words."""

from typing import Any

from allauth.account.forms import (
    ChangePasswordForm as LibraryChangePasswordForm,
)
from allauth.account.forms import (
    LoginForm,
    ResetPasswordForm,
    ResetPasswordKeyForm,
)
from allauth.mfa.base.forms import AuthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from django import forms
from django.conf import settings
from django.http import HttpRequest
from django.utils.timezone import now

from lifecycle.pages.account.doors import accounts_by_mail, password_opens

LENGTH = "At least 12 letters; not a common word, not only digits, not like your name."


def _say(field: forms.Field, label: str, help_text: str = "") -> None:
    field.label, field.help_text = label, help_text
    field.widget.attrs.pop("placeholder", None)


class SignInForm(LoginForm):  # type: ignore[misc]
    """Name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self.fields["login"], "Sign-in name")
        _say(self.fields["password"], "Password")
        self.fields["login"].widget.attrs.update(autocomplete="username", spellcheck="false")


class ChangePasswordForm(LibraryChangePasswordForm):  # type: ignore[misc]
    """One's own password, changed with the old one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self.fields["oldpassword"], "Present password")
        _say(self.fields["password1"], "New password", LENGTH)
        _say(self.fields["password2"], "New password, once more")


class ChoosePasswordForm(ResetPasswordKeyForm):  # type: ignore[misc]
    """A password, chosen behind a one-time link."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self.fields["password1"], "New password", LENGTH)
        _say(self.fields["password2"], "New password, once more")


class AskForLinkForm(ResetPasswordForm):  # type: ignore[misc]
    """A mail address on record; the answer is the same whether it is known or not."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self.fields["email"], "Your mail address, as the steward has it on record")

    def clean_email(self) -> str:
        address = str(self.cleaned_data["email"]).strip()
        at = now()
        self.users = [one for one in accounts_by_mail(address, at) if password_opens(one, at)]
        return address

    def save(self, request: HttpRequest, **kwargs: Any) -> str:
        if not settings.MAIL_READY:
            self.users = []
        return str(super().save(request, **kwargs))


class SecondStepForm(AuthenticateForm):  # type: ignore[misc]
    """The code of the second step, or one of the codes kept for an emergency."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        help_text = "The six digits now on your device, or one of your spare codes."
        _say(self.fields["code"], "Code", help_text)
        self.fields["code"].widget.attrs.update(autocomplete="one-time-code", inputmode="numeric")


class SetUpSecondStepForm(ActivateTOTPForm):  # type: ignore[misc]
    """The first code of a device, which proves that it took the secret."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _say(self.fields["code"], "Code", "The six digits that the device shows now.")
        self.fields["code"].widget.attrs.update(autocomplete="one-time-code", inputmode="numeric")
