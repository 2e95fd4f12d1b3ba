"""Settings for production: the framework's own list of dangers is clean, and a proxy is named."""

import http.client
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from lifecycle.running import child
from tests.running.conftest import MakeHouse
from tests.running.house import House, wait_until

PRODUCTION = {
    "SHOWREST_HTTPS": "yes",
    "SHOWREST_PROXY": "127.0.0.1",
    "SHOWREST_HOSTS": "showrest.hollinshire.example,127.0.0.1",
    "SHOWREST_URL": "https://showrest.hollinshire.example",
    "SHOWREST_SMTP_HOST": "mail.hollinshire.example",
}


def test_the_check_for_production_is_clean(tmp_path: Path) -> None:
    done = House(tmp_path, **PRODUCTION).run("check", "--deploy", "--fail-level", "WARNING")
    assert done.returncode == 0, done.stdout
    assert "no issues" in done.stdout


def test_the_check_for_production_is_not_clean_without_https(tmp_path: Path) -> None:
    """The check before this one would be worth nothing if it could not fail."""
    done = House(tmp_path).run("check", "--deploy", "--fail-level", "WARNING")
    assert done.returncode == 1
    assert "SECURE_SSL_REDIRECT" in done.stdout


@pytest.mark.parametrize(("proxy", "believed"), [("", False), ("127.0.0.1", True)])
def test_the_header_of_a_proxy_is_believed_only_where_one_is_named(
    tmp_path: Path, proxy: str, believed: bool
) -> None:
    told = "from django.conf import settings; print(settings.SECURE_PROXY_SSL_HEADER)"
    said = House(tmp_path, SHOWREST_HTTPS="yes", SHOWREST_PROXY=proxy).script(told).stdout
    assert ("HTTP_X_FORWARDED_PROTO" in said) is believed


def test_the_web_server_is_told_of_the_proxy(settings: Any) -> None:
    assert not any("trusted" in word for word in child.arguments("web"))
    settings.PROXY = "127.0.0.1"
    settings.PROXIES = 2
    assert {"--trusted-proxy=127.0.0.1", "--trusted-proxy-count=2"} <= set(child.arguments("web"))


def asked(house: House, **headers: str) -> tuple[int, str]:
    line = http.client.HTTPConnection("127.0.0.1", house.port, timeout=20)
    try:
        host = {"Host": "showrest.hollinshire.example"}
        line.request("GET", "/health/?format=json", headers=host | headers)
        answer = line.getresponse()
        return answer.status, answer.getheader("Strict-Transport-Security", "")
    except OSError:
        time.sleep(0.2)
        return 0, ""
    finally:
        line.close()


@pytest.mark.slow
@pytest.mark.parametrize("proxy", ["127.0.0.1", ""])
def test_behind_its_proxy_a_page_answers_and_a_stranger_cannot_play_the_proxy(
    make_house: MakeHouse, proxy: str
) -> None:
    """Broken once: the web server threw the header away, and every page led back to itself."""
    house = make_house(**{**PRODUCTION, "SHOWREST_PROXY": proxy})
    gathered = house.script("from lifecycle.running.starting import gather_static; gather_static()")
    assert gathered.returncode == 0, gathered.stdout
    served = subprocess.Popen(
        [sys.executable, "-m", "lifecycle.running.child", "web"],
        env={**os.environ, **house.environment},
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        wait_until("an answer", lambda: asked(house)[0])
        assert asked(house)[0] == 301
        status, policy = asked(house, **{"X-Forwarded-Proto": "https"})
        assert status == (503 if proxy else 301)  # no worker, no broker: so says the page itself
        assert policy == ("max-age=31536000" if proxy else "")
    finally:
        served.kill()
        served.wait()
        assert served.stdin is not None
        served.stdin.close()
