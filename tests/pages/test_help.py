"""Help: everybody who works here reads the process as the code keeps it; nobody else does."""

from html import unescape

import pytest
from django.test import Client

from lifecycle.pages.navigation import MAIN_PAGES, OTHER_KEYS
from lifecycle.process.cautions import DEFER
from lifecycle.process.moves import MOVES
from lifecycle.process.own_words import OWN_WORDS
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.rights import Deed
from lifecycle.process.sheet import process_tables, words_table
from lifecycle.process.stages import Role, Stage
from lifecycle.process.switches import ALWAYS, SWITCHED
from lifecycle.process.waivers import WAIVABLE
from tests.builders.core import make_museum
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


def page_for(role: Role) -> str:
    answer = visitor(role).get("/help/")
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def test_help_shows_every_row_of_the_process_and_every_word() -> None:
    page = page_for(Role.CONSERVATOR)
    for table in (*process_tables(), words_table()):
        for row in table.rows:
            assert f'<th scope="row">{row[0]}</th>' in page
            for head, cell in zip(table.heads[1:], row[1:], strict=True):
                label = f' data-label="{head}"' if cell and 2 < len(table.heads) < 6 else ""
                assert f"<td{label}>{cell}</td>" in page


def test_the_tables_name_everything_that_the_process_holds() -> None:
    first = {table.title: [row[0] for row in table.rows] for table in process_tables()}
    assert first == {
        "Stages": [stage.label for stage in Stage],
        "Moves": [move.label for move in MOVES.values()],
        "Readiness": [gate.code for gate in READY_GATES],
        "What can be left out": [
            *(one.label for one in SWITCHED.values()),
            *(label for label, _ in ALWAYS),
        ],
        "Waivers": list(WAIVABLE),
        "Rights": [deed.label for deed in Deed],
    }
    assert words_table().rows == OWN_WORDS
    for table in (*process_tables(), words_table()):
        assert {len(row) for row in table.rows} == {len(table.heads)}


def test_help_says_who_decides_and_which_keys_there_are() -> None:
    page = page_for(Role.REGISTRAR)
    assert "Showrest informs; a conservator decides" in page
    assert DEFER in page
    for key, does in OTHER_KEYS:
        assert f"<kbd>{key}</kbd></dt><dd>{does}</dd>" in page
    assert any(f"<dd>{main.label}</dd>" in page for main in MAIN_PAGES)


@pytest.mark.parametrize("role", [Role.STEWARD, Role.ATTENDANT, Role.MOUNT_MAKER])
def test_the_foot_of_each_page_leads_there(role: Role) -> None:
    person = visitor(role)
    for address in ("/", "/objects/", "/keys/", "/help/"):
        assert '<a href="/help/">Help</a>' in person.get(address).content.decode()


def test_a_stranger_is_asked_to_sign_in_first() -> None:
    answer = Client().get("/help/")
    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]
