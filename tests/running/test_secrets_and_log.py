"""No secret in the log: a real start, a museum begun in it, and what was written meanwhile."""

import logging
import re
import sys

import pytest
import requests

from lifecycle.running.quiet import NoLinks, without_links
from tests.running.conftest import MakeHouse
from tests.running.house import House, wait_until

PASSWORD = "a barometer in rain 7"
CLIENT_SECRET = "a client secret nobody may read"


def token(page: requests.Response) -> str:
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page.text)
    assert found is not None
    return found[1]


def code_of(house: House) -> str:
    said = (house.folder / "said.txt").read_text()
    found = re.search(r"^ +([A-Z2-9]{4}-[A-Z2-9]{4}-[A-Z2-9]{4})$", said, re.M)
    assert found is not None, said
    return found[1]


@pytest.mark.broker
@pytest.mark.slow
def test_neither_code_nor_password_nor_link_nor_client_secret_is_in_the_log(
    make_house: MakeHouse,
) -> None:
    house = make_house(
        SHOWREST_OIDC_SERVER="http://127.0.0.1:9",
        SHOWREST_OIDC_CLIENT_ID="us",
        SHOWREST_OIDC_CLIENT_SECRET=CLIENT_SECRET,
    )
    assert house.run("migrate", "--verbosity", "0", "--skip-checks").returncode == 0
    house.start("up")
    wait_until("the ready line", lambda: "Ctrl-C stops everything." in house.said())
    site, code = f"http://127.0.0.1:{house.port}", code_of(house)
    browser = requests.Session()
    page = browser.get(f"{site}/objects/", timeout=30)
    assert page.url == f"{site}/begin/"
    typed = {
        "csrfmiddlewaretoken": token(page),
        "code": code,
        "museum": "Fernwick Town Museum",
        "zone": "Europe/London",
        "paper_size": "a4",
        "full_name": "Imogen Thrush",
        "username": "imogen",
        "password": PASSWORD,
        "again": PASSWORD,
    }
    begun = browser.post(f"{site}/begin/", typed, timeout=60)
    assert begun.url == f"{site}/"
    assert browser.get(f"{site}/begin/", timeout=30).status_code == 404

    key = "d1xkey-0123456789abcdef0123456789abcdef"
    forbidden = requests.post(f"{site}/account/password/reset/key/1-{key}/", timeout=30)
    assert forbidden.status_code == 403
    failed = requests.get(f"{site}/account/oidc/house/login/", timeout=30)
    assert failed.status_code == 503
    stranger = requests.Session()
    entry = stranger.get(f"{site}/account/sign-in/", timeout=30)
    wrong = {"csrfmiddlewaretoken": token(entry), "login": "imogen", "password": PASSWORD + "x"}
    stranger.post(f"{site}/account/sign-in/", wrong, timeout=30)

    log = (house.folder / "showrest.log").read_text(errors="replace")
    assert "/account/password/reset/key/(left out)/" in log
    for secret in (code, code.replace("-", ""), PASSWORD, key, CLIENT_SECRET):
        assert secret not in log, secret


def test_a_link_is_blanked_in_texts_arguments_and_tracebacks() -> None:
    link = "/account/password/reset/key/4-abc-def/"
    try:
        int(f"at {link}")
    except ValueError:
        record = logging.LogRecord("x", 40, "f", 1, "Not %s: %s", (7, link), sys.exc_info())
    assert NoLinks().filter(record)
    text = logging.Formatter("%(message)s").format(record)
    assert "4-abc-def" not in text
    assert text.startswith("Not 7: /account/password/reset/key/(left out)/")
    assert without_links("/objects/?q=code") == "/objects/?q=code"
