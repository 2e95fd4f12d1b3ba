"""A real worker, a real broker, a real mail server: killed, doubled, cut off; still once."""

import asyncio
import os
import signal
import threading
import uuid
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from aiosmtpd.controller import Controller

from tests.running.conftest import MakeHouse
from tests.running.house import ROOT, House, free_port, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.slow]


class MailHouse:
    """Takes mails, or holds them at the text until it is let go."""

    def __init__(self) -> None:
        self.offered: list[str] = []
        self.let_go = threading.Event()
        self.let_go.set()
        self.reply = "250 taken"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802
        self.offered.append(envelope.rcpt_tos[0])
        while not self.let_go.is_set():
            await asyncio.sleep(0.05)
        return self.reply


@pytest.fixture
def post() -> Iterator[tuple[MailHouse, int]]:
    handler, port = MailHouse(), free_port()
    server = Controller(handler, hostname="127.0.0.1", port=port)
    server.start()
    yield handler, port
    handler.let_go.set()
    server.stop()
    server.loop.close()


def mailing(make_house: MakeHouse, port: int) -> House:
    return make_house(
        SHOWREST_SMTP_HOST="127.0.0.1", SHOWREST_SMTP_PORT=str(port), SHOWREST_SMTP_TLS="no"
    )


def add_messages(house: House, count: int) -> list[str]:
    """People with one immediate mail each, written from outside while nothing runs."""
    keys = []
    for number in range(count):
        person, message = uuid.uuid4().hex, uuid.uuid4().hex
        house.sql(
            "INSERT INTO records_person (uid, full_name, email, zone) VALUES (?, ?, ?, '')",
            person,
            f"Person {number}",
            f"person{number}@hollinshire.example",
        )
        house.sql(
            "INSERT INTO records_message (uid, state, subject, body, due_at, next_try_at, worker,"
            " attempts, answer, person_id, key) SELECT ?, 'due', 'Act now', 'Seen.',"
            " '2026-01-01 00:00:00', '2026-01-01 00:00:00', '', 0, '', id, 'k'"
            " FROM records_person WHERE uid = ?",
            message,
            person,
        )
        keys.append(str(uuid.UUID(message)))
    return keys


def states(house: House) -> Counter[str]:
    return Counter(state for (state,) in house.sql("SELECT state FROM records_message"))


def wake(house: House, keys: list[str]) -> None:
    publisher = house.publisher()
    for key in keys:
        publisher.send_task("lifecycle.jobs.letters.send_message", args=[key], ignore_result=True)
    publisher.close()


def test_what_waited_while_the_broker_was_down_goes_out_once_it_is_back(
    make_house: MakeHouse, post: tuple[MailHouse, int]
) -> None:
    mails, port = post
    house = mailing(make_house, port)
    add_messages(house, 3)
    house.start("up", "--only", "worker")
    wait_until("three mails", lambda: states(house)["handed_over"] == 3)
    assert len(mails.offered) == 3


def test_two_workers_and_every_message_delivered_three_times_send_each_mail_once(
    make_house: MakeHouse, post: tuple[MailHouse, int]
) -> None:
    mails, port = post
    house = mailing(make_house, port)
    keys = add_messages(house, 20)
    house.start("up", "--only", "worker")
    wait_until("three children", lambda: len(house.children()) == 3)
    house.start("-m", "lifecycle.running.child", "worker")
    wait_until("the socket", (house.folder / "broker" / "broker.sock").exists)
    wake(house, keys * 3)
    wait_until("all handed over", lambda: states(house)["handed_over"] == 20)
    assert Counter(mails.offered) == {f"person{n}@hollinshire.example": 1 for n in range(20)}


def test_a_worker_killed_over_the_text_leaves_a_claim_that_nobody_sends_again(
    make_house: MakeHouse, post: tuple[MailHouse, int]
) -> None:
    mails, port = post
    house = mailing(make_house, port)
    (key,) = add_messages(house, 1)
    mails.let_go.clear()
    house.start("up", "--only", "worker")
    wait_until("the text offered", lambda: mails.offered)
    # Seen from outside while the server holds the text: the claim is committed before SMTP.
    assert states(house) == {"claimed": 1}
    old = house.children()["worker"]
    os.kill(old, signal.SIGKILL)
    mails.let_go.set()
    wait_until("a new worker", lambda: house.children().get("worker", old) != old)
    ticked = "SELECT seen_at FROM records_heartbeat WHERE part = 'beat'"
    seen = house.sql(ticked)
    wait_until("a tick of the new worker", lambda: house.sql(ticked) != seen)
    wake(house, [key])
    again = house.sql(ticked)
    wait_until("one tick more", lambda: house.sql(ticked) != again)
    assert states(house) == {"claimed": 1}
    assert len(mails.offered) == 1


def test_a_worker_killed_between_mails_is_followed_by_one_that_sends_the_rest(
    make_house: MakeHouse, post: tuple[MailHouse, int]
) -> None:
    mails, port = post
    house = mailing(make_house, port)
    add_messages(house, 12)
    mails.let_go.clear()
    house.start("up", "--only", "worker")
    wait_until("the first text offered", lambda: mails.offered)
    os.kill(house.children()["worker"], signal.SIGKILL)
    mails.let_go.set()
    wait_until("the rest", lambda: states(house)["handed_over"] + states(house)["claimed"] == 12)
    wait_until("the claims known", lambda: states(house)["claimed"] <= 2)
    assert max(Counter(mails.offered).values()) == 1


def test_a_mail_the_server_refuses_waits_for_its_next_try(
    make_house: MakeHouse, post: tuple[MailHouse, int]
) -> None:
    mails, port = post
    mails.reply = "451 try later"
    house = mailing(make_house, port)
    add_messages(house, 1)
    house.start("up", "--only", "worker")
    wait_until("the refusal", lambda: states(house)["refused"] == 1)
    mails.reply = "250 taken"
    house.sql("UPDATE records_message SET next_try_at = '2026-01-01 00:00:00'")
    wait_until("the second try", lambda: states(house)["handed_over"] == 1)
    assert len(mails.offered) == 2


def test_the_morning_letter_is_written_once_with_two_schedules_ticking(
    make_house: MakeHouse,
) -> None:
    house = make_house()
    house.sql(
        "INSERT INTO records_person (uid, full_name, email, zone, letter_hour)"
        " VALUES (?, 'Ada Kestrel', 'ada@hollinshire.example', '', 0)",
        uuid.uuid4().hex,
    )
    house.start("up", "--only", "worker")
    wait_until("three children", lambda: len(house.children()) == 3)
    house.start("-m", "lifecycle.running.child", "worker")
    letters = "SELECT count(*), min(state), max(state) FROM records_letter"
    wait_until("the letter's row", lambda: house.sql(letters)[0][0] >= 1)
    wait_until("its end", lambda: house.sql(letters)[0][1] == "nothing_to_say")
    hosts = "SELECT count(*) FROM records_heartbeat WHERE part = 'worker'"
    assert house.sql(hosts) == [(1,)]
    assert house.sql(letters) == [(1, "nothing_to_say", "nothing_to_say")]
    # The schedule lives in memory: no file remembers what the rows know better.
    assert list(ROOT.glob("celerybeat-schedule*")) == []
