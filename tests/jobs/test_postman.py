"""What an SMTP server can do to a mail, with a real server on the loopback (RFC 5321 replies)."""

import asyncio
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP

from lifecycle.jobs.postman import Fate, HouseMail, hand_over


class House:
    """A mail server that does as it is told and keeps what it took."""

    def __init__(self) -> None:
        self.taken: list[Any] = []
        self.at_mail, self.at_rcpt, self.at_data = "250 OK", "250 OK", "250 taken"

    async def handle_MAIL(  # noqa: N802
        self, server: SMTP, session: Any, envelope: Any, address: str, options: list[str]
    ) -> str:
        if self.at_mail == "hang up":
            server.transport.abort()  # type: ignore[union-attr]
        envelope.mail_from = address
        return self.at_mail

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Any, envelope: Any, address: str, options: list[str]
    ) -> str:
        envelope.rcpt_tos.append(address)
        return self.at_rcpt

    async def handle_DATA(self, server: SMTP, session: Any, envelope: Any) -> str:  # noqa: N802
        if self.at_data == "hang up":
            server.transport.abort()  # type: ignore[union-attr]
        elif self.at_data == "silence":
            await asyncio.sleep(4)
        else:
            self.taken.append(envelope)
        return "250 taken" if self.at_data in {"hang up", "silence"} else self.at_data


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


@pytest.fixture
def house(settings: Any) -> Iterator[House]:
    handler = House()
    server = Controller(handler, hostname="127.0.0.1", port=free_port(), timeout=10)
    server.start()
    settings.EMAIL_BACKEND = "lifecycle.jobs.postman.SmtpBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
    settings.EMAIL_USE_TLS, settings.EMAIL_TIMEOUT = False, 2
    yield handler
    server.stop()
    server.loop.close()


def a_mail(to: str = "ada@hollinshire.example") -> HouseMail:
    return HouseMail(subject="Today", body="Zażółć, Ἀθήνα, 雨.\n", to=[to], name="letter")


def test_a_taken_mail_is_taken(house: House) -> None:
    assert hand_over(a_mail()).fate == Fate.TAKEN
    assert len(house.taken) == 1


@pytest.mark.parametrize("reply", ["550 no such person", "450 mailbox busy", "452 full"])
def test_a_refused_address_is_a_refusal_with_the_servers_words(house: House, reply: str) -> None:
    house.at_rcpt = reply
    answer = hand_over(a_mail())
    assert answer.fate == Fate.REFUSED
    assert reply[4:] in answer.said


def test_a_refused_sender_is_a_refusal(house: House) -> None:
    house.at_mail = "553 not from here"
    assert hand_over(a_mail()).fate == Fate.REFUSED


@pytest.mark.parametrize("reply", ["554 rejected", "451 try later", "552 too much"])
def test_a_text_the_server_refuses_is_a_refusal(house: House, reply: str) -> None:
    house.at_data = reply
    assert hand_over(a_mail()).fate == Fate.REFUSED


def test_a_server_that_hangs_up_before_the_text_refused_it(house: House) -> None:
    house.at_mail = "hang up"
    assert hand_over(a_mail()).fate == Fate.REFUSED


@pytest.mark.parametrize("at_data", ["hang up", "silence"])
def test_a_server_that_falls_silent_over_the_text_leaves_the_fate_unknown(
    house: House, at_data: str
) -> None:
    house.at_data = at_data
    assert hand_over(a_mail()).fate == Fate.UNKNOWN


def test_a_server_that_is_not_there_is_a_refusal(settings: Any) -> None:
    settings.EMAIL_BACKEND = "lifecycle.jobs.postman.SmtpBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", free_port()
    settings.EMAIL_USE_TLS = False
    answer = hand_over(a_mail())
    assert answer.fate == Fate.REFUSED
    assert "could not be reached" in answer.said


def test_letters_as_files_are_whole_and_named(settings: Any, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND = "lifecycle.jobs.postman.FolderBackend"
    settings.LETTERS_DIR = tmp_path / "letters"
    assert hand_over(a_mail()).fate == Fate.TAKEN
    (file,) = (tmp_path / "letters").iterdir()
    assert file.name == "letter.eml"
    assert "Zażółć, Ἀθήνα, 雨." in file.read_text(encoding="utf-8")


def test_a_letters_folder_that_cannot_be_written_is_a_refusal(
    settings: Any, tmp_path: Path
) -> None:
    settings.EMAIL_BACKEND = "lifecycle.jobs.postman.FolderBackend"
    settings.LETTERS_DIR = tmp_path / "file"
    settings.LETTERS_DIR.write_text("in the way")
    assert hand_over(a_mail()).fate == Fate.REFUSED
