"""Every address against every role, guests and nobody, as the table beside this file says.

And the other way round: no link that a person of the demo is shown leads to a wall.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from lifecycle.exchange.demo_data import FRAME, read_demo
from lifecycle.process.stages import Role
from lifecycle.records.models import Person
from tests.pages.dead_ends import walls_of
from tests.pages.door_scene import NOBODY, set_the_scene
from tests.pages.doors import (
    Door,
    answer,
    doors,
    expected,
    faults_of_deed,
    missing,
    names_in,
    read_table,
)

pytestmark = [pytest.mark.crawls, pytest.mark.slow]

ROWS = read_table()


@pytest.fixture(scope="module")
def clients(django_db_setup: None, django_db_blocker: Any) -> Iterator[dict[str, Client]]:
    """The demo, loaded once for this file, and one visitor of each kind."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield set_the_scene()
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def house(clients: dict[str, Client]) -> list[Door]:
    return doors()


@pytest.mark.django_db
def test_every_address_has_its_row_and_every_row_its_address(
    clients: dict[str, Client], house: list[Door]
) -> None:
    without = list(missing(ROWS, clients))
    assert without == [], "Read these rows, then put them into tests/pages/doors.yaml."
    assert set(ROWS) - {door.name for door in house} == set()


@pytest.mark.django_db
@pytest.mark.parametrize("who", [NOBODY, *(role.value for role in Role)])
def test_each_visitor_gets_the_answer_of_the_table(
    who: str, clients: dict[str, Client], house: list[Door]
) -> None:
    wrong = {}
    for door in house:
        row = ROWS.get(door.name)
        if row is None:
            continue
        got = answer(clients[who], door, sends=bool(row.get("sends")))
        if got != expected(row)[who]:
            wrong[door.name] = f"{got}, not {expected(row)[who]}: {door.address}"
    assert wrong == {}


@pytest.mark.django_db
@pytest.mark.parametrize("name", [row["name"] for row in read_demo(FRAME).people["people"]])
def test_nobody_of_the_demo_is_led_to_a_wall(name: str, clients: dict[str, Client]) -> None:
    with transaction.atomic():
        walls, opened = walls_of(Person.objects.get(full_name=name))
        transaction.set_rollback(True)
    assert opened > 3
    assert walls == []


@pytest.mark.parametrize("name", ROWS)
def test_a_row_says_what_the_rights_table_says(name: str) -> None:
    row = ROWS[name]
    assert faults_of_deed(row) == []
    known = {*(role.value for role in Role)}
    said = [names_in(who) for status, who in row.items() if isinstance(status, int)]
    assert frozenset().union(*said) <= known
    assert sum(len(one) for one in said) == len(frozenset().union(*said)), "named twice"
    assert {status for status in row if isinstance(status, int)} <= {200, 302, 400, 404, 405, 503}
    assert row.get(NOBODY, 302) in {200, 302, 403, 404, 405, 503}
    closed = set(expected(row).values()) - {200, 302, 404, 405} == {403}
    assert "deed" in row or not closed or "why" in row, "a closed door names its deed, or why"
