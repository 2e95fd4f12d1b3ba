"""Hand one mail to the mail server and tell apart: taken, refused, nobody knows.

A server that refuses has said so, or was never offered the text. Once the text was offered and
no answer came, the mail may or may not be on its way: it must not be sent again by itself.
"""

import os
import smtplib
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.core.mail.backends.smtp import EmailBackend


class Fate(StrEnum):
    TAKEN = "taken"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one hand-over, and what the server said."""

    fate: Fate
    said: str


class HouseMail(EmailMessage):
    """A mail with a name of its own, used as the file's name where letters become files."""

    def __init__(self, *args: Any, name: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name = name


class _TellingSMTP(smtplib.SMTP):
    """SMTP that remembers whether the text of the mail was offered to the server."""

    offered = False

    def data(self, msg: Any) -> tuple[int, bytes]:
        self.offered = True
        return super().data(msg)


class SmtpBackend(EmailBackend):
    """Django's SMTP backend over a connection that can say how far it came."""

    @property
    def connection_class(self) -> type[smtplib.SMTP]:
        return _TellingSMTP


class FolderBackend(BaseEmailBackend):
    """Write each mail to a file of its own, whole or not at all."""

    offered = False  # what went wrong left no file: it may be written again

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        folder = Path(settings.LETTERS_DIR)
        folder.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            handle, aside = tempfile.mkstemp(dir=folder, suffix=".part")
            with os.fdopen(handle, "wb") as part:
                part.write(message.message().as_bytes())
            name = message.name if isinstance(message, HouseMail) else Path(aside).stem
            os.replace(aside, folder / f"{name}.eml")
        return len(email_messages)


def hand_over(mail: EmailMessage) -> Answer:
    """Offer one mail to the server that the settings name."""
    connection = get_connection()
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as trouble:
        return Answer(Fate.REFUSED, f"The mail server could not be reached: {trouble}")
    try:
        taken = connection.send_messages([mail])
    except smtplib.SMTPRecipientsRefused as trouble:
        said = "; ".join(f"{who}: {_words(what)}" for who, what in trouble.recipients.items())
        return Answer(Fate.REFUSED, f"The mail server refused the address. {said}")
    except smtplib.SMTPResponseException as trouble:
        said = _words((trouble.smtp_code, trouble.smtp_error))
        return Answer(Fate.REFUSED, f"The mail server refused the mail: {said}")
    except (OSError, smtplib.SMTPException) as trouble:
        line = getattr(connection, "connection", connection)
        if getattr(line, "offered", True):
            return Answer(Fate.UNKNOWN, f"The mail server did not answer: {trouble}")
        return Answer(Fate.REFUSED, f"The mail server hung up before the text: {trouble}")
    finally:
        _close(connection)
    if not taken:
        return Answer(Fate.REFUSED, "The mail has no address to go to.")
    return Answer(Fate.TAKEN, "Handed over.")


def _words(reply: Any) -> str:
    code, said = reply
    text = said.decode("utf-8", "replace") if isinstance(said, bytes) else str(said)
    return f"{code} {text}"


def _close(connection: Any) -> None:
    """Close quietly: what the server said about the mail is known by now."""
    try:
        connection.close()
    except (OSError, smtplib.SMTPException):
        return
