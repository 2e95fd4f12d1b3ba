"""Addresses of the steward's page."""

from django.urls import path, register_converter

from lifecycle.pages import steward


class MailKind:
    """``letter`` or ``message``."""

    regex = "letter|message"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


class MailDeed(MailKind):
    """``send-again`` or ``leave-unsent``."""

    regex = "send-again|leave-unsent"


register_converter(MailKind, "mailkind")
register_converter(MailDeed, "maildeed")

urlpatterns = [
    path("steward/", steward.steward, name="steward"),
    path(
        "steward/mail/<mailkind:kind>/<uuid:uid>/<maildeed:deed>/",
        steward.decide_mail,
        name="steward-mail",
    ),
    path("steward/work/<uuid:uid>/stop/", steward.stop_work, name="steward-stop-work"),
    path("steward/check/", steward.check_now, name="steward-check"),
    path("steward/backup/", steward.back_up_now, name="steward-backup"),
]
