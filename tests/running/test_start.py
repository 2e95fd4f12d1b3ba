"""One command that starts, watches, restarts and stops everything, with real processes."""

import http.client
import os
import signal
import socket
import time
from functools import partial

import pytest

from tests.running.conftest import MakeHouse
from tests.running.house import House, wait_until

pytestmark = [pytest.mark.broker, pytest.mark.slow]

ALL = {"web", "worker", "broker", "valkey"}


def answers(house: House) -> bool:
    line = http.client.HTTPConnection("127.0.0.1", house.port, timeout=5)
    try:
        line.request("GET", "/health/?format=json")
        return line.getresponse().status in {200, 503}
    except OSError:
        return False
    finally:
        line.close()


def ready(house: House) -> None:
    wait_until("the ready line", lambda: "Ctrl-C stops everything." in house.said())


def is_another(house: House, name: str, old: int) -> bool:
    return house.children().get(name, old) != old


def test_it_says_where_it_is_and_ctrl_c_ends_everything(make_house: MakeHouse) -> None:
    house = make_house()
    start = house.start("start")
    ready(house)
    assert f"Showrest is ready at http://127.0.0.1:{house.port}/" in house.said()
    assert answers(house)
    assert set(house.children()) == ALL
    start.send_signal(signal.SIGINT)
    assert start.wait(timeout=20) == 0
    assert house.children() == {}
    assert not answers(house)


def test_sigterm_ends_everything_too(make_house: MakeHouse) -> None:
    house = make_house()
    start = house.start("up", "--only", "worker")
    wait_until("three children", lambda: len(house.children()) == 3)
    start.send_signal(signal.SIGTERM)
    assert start.wait(timeout=20) == 0
    assert house.children() == {}


def test_a_second_start_on_the_folder_says_so_and_harms_nothing(make_house: MakeHouse) -> None:
    house = make_house()
    house.start("up", "--only", "worker")
    wait_until("three children", lambda: len(house.children()) == 3)
    before = house.children()
    second = house.run("start")
    assert second.returncode == 1
    assert f"already running on the folder {house.folder} (process " in second.stdout
    assert house.children() == before


def test_a_killed_child_is_started_again(make_house: MakeHouse) -> None:
    house = make_house()
    house.start("start")
    ready(house)
    for name in ("web", "worker", "broker", "valkey"):
        old = house.children()[name]
        os.kill(old, signal.SIGKILL)
        wait_until(f"a new {name}", partial(is_another, house, name, old))
    wait_until("the page again", lambda: answers(house))
    wait_until("all again", lambda: set(house.children()) == ALL)
    assert "The web ended (code -9) and is started again." in house.said()


def test_children_end_when_their_parent_is_killed(make_house: MakeHouse) -> None:
    house = make_house()
    start = house.start("start")
    ready(house)
    start.kill()
    start.wait()
    wait_until("no child left", lambda: house.children() == {}, seconds=20)
    again = house.start("up", "--only", "worker")
    wait_until("a start on the same folder", lambda: len(house.children()) == 3)
    assert again.poll() is None


def test_a_child_that_cannot_live_is_given_up_with_the_log_named(make_house: MakeHouse) -> None:
    house = make_house(SHOWREST_SECRET_KEY="x" * 50)
    blocked = house.folder / "broker"
    blocked.write_text("a file where the broker's folder should be")
    start = house.start("up", "--only", "worker")
    assert start.wait(timeout=60) == 1
    assert "The broker ended 5 times within a minute" in house.said()
    assert str(house.folder / "showrest.log") in house.said()
    assert house.children() == {}


def test_a_port_in_use_is_said_in_words(make_house: MakeHouse) -> None:
    house = make_house()
    with socket.socket() as other:
        other.bind(("127.0.0.1", house.port))
        other.listen()
        begun = time.monotonic()
        second = house.run("start")
        assert second.returncode == 1
        assert f"The address 127.0.0.1:{house.port} can't be used" in second.stdout
        assert time.monotonic() - begun < 40


def test_a_long_folder_name_gets_its_socket_in_a_short_private_folder(
    make_house: MakeHouse,
) -> None:
    house = make_house("a folder with blanks, longer than the path of a socket may be" * 2)
    house.start("up", "--only", "worker")
    wait_until("three children", lambda: len(house.children()) == 3)
    wait_until("a tick", lambda: house.sql("SELECT 1 FROM records_heartbeat WHERE part='beat'"))


def test_up_refuses_tables_that_are_not_up_to_date(make_house: MakeHouse) -> None:
    house = make_house()
    house.sql("DELETE FROM django_migrations WHERE app = 'records'")
    answer = house.run("up")
    assert answer.returncode == 1
    assert "The tables are not up to date." in answer.stdout


def test_a_museums_own_records_and_the_demo_never_meet(make_house: MakeHouse) -> None:
    house = make_house()
    museum = (
        "INSERT INTO records_museum (uid, name, zone, is_demo, paper_size, only)"
        " VALUES ('0123456789abcdef0123456789abcdef', 'Somewhere', 'UTC', ?, 'a4', 1)"
    )
    house.sql(museum, 0)
    refused = house.run("demo")
    assert refused.returncode == 1
    assert "holds a museum's own records" in refused.stdout
    house.sql("UPDATE records_museum SET is_demo = 1")
    refused = house.run("start")
    assert refused.returncode == 1
    assert "holds the demo" in refused.stdout
