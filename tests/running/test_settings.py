"""Settings are read from the environment by readers that fail loudly, and invent no secret."""

import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.cache.backends.filebased import FileBasedCache
from django.core.exceptions import ImproperlyConfigured

from lifecycle import readers
from lifecycle import settings as as_run
from tests.running.house import ROOT


@pytest.mark.parametrize("value", ["maybe", "2", "ja"])
def test_a_flag_that_is_no_flag_is_refused_by_name(
    monkeypatch: pytest.MonkeyPatch, value: str
) -> None:
    monkeypatch.setenv("SHOWREST_HTTPS", value)
    with pytest.raises(ImproperlyConfigured, match="SHOWREST_HTTPS must be yes or no"):
        readers.read_flag("SHOWREST_HTTPS")


@pytest.mark.parametrize(("value", "said"), [("x", "a whole number"), ("99999", "between 1 and")])
def test_a_number_that_is_none_or_out_of_range_is_refused_by_name(
    monkeypatch: pytest.MonkeyPatch, value: str, said: str
) -> None:
    monkeypatch.setenv("SHOWREST_PORT", value)
    with pytest.raises(ImproperlyConfigured, match=f"SHOWREST_PORT must be {said}"):
        readers.read_number("SHOWREST_PORT", 8000, least=1, most=65535)


@pytest.mark.parametrize("url", ["mysql://a/b", "oracle", "postgresql://a:x/b"])
def test_a_database_that_is_not_known_is_refused(url: str, tmp_path: Path) -> None:
    with pytest.raises(ImproperlyConfigured, match="DATABASE_URL"):
        readers.read_database(url, tmp_path)


def test_a_postgresql_url_gives_its_parts_decoded(tmp_path: Path) -> None:
    read = readers.read_database("postgresql://ada:p%40ss@db:5433/rain?sslmode=require", tmp_path)
    assert (read["USER"], read["PASSWORD"], read["HOST"]) == ("ada", "p@ss", "db")
    assert (read["PORT"], read["NAME"], read["OPTIONS"]) == ("5433", "rain", {"sslmode": "require"})


def test_sqlite_takes_its_lock_at_once_and_writes_ahead(tmp_path: Path) -> None:
    options = readers.read_database("", tmp_path)["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert "journal_mode=WAL" in options["init_command"]


def test_the_secret_key_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    first = readers.read_secret(tmp_path)
    path = tmp_path / "secret-key"
    assert readers.read_secret(tmp_path) == first
    assert len(first) >= 64
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [file.name for file in tmp_path.iterdir()] == ["secret-key"]


def test_a_secret_key_that_others_can_read_stops_the_start(tmp_path: Path) -> None:
    readers.read_secret(tmp_path)
    (tmp_path / "secret-key").chmod(0o644)
    with pytest.raises(ImproperlyConfigured, match="can be read by others"):
        readers.read_secret(tmp_path)


def test_an_empty_or_short_secret_key_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "secret-key").touch(mode=0o600)
    with pytest.raises(ImproperlyConfigured, match="holds no usable key"):
        readers.read_secret(tmp_path)
    monkeypatch.setenv("SHOWREST_SECRET_KEY", "short")
    with pytest.raises(ImproperlyConfigured, match="at least 40 characters"):
        readers.read_secret(tmp_path)


def test_every_host_at_once_is_not_accepted(tmp_path: Path) -> None:
    answer = subprocess.run(
        [sys.executable, "-c", "import lifecycle.settings"],
        cwd=ROOT,
        env={**os.environ, "SHOWREST_DATA": str(tmp_path), "SHOWREST_HOSTS": "*"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "SHOWREST_HOSTS must name the hosts" in answer.stderr


def test_the_socket_moves_when_its_path_would_be_too_long(tmp_path: Path) -> None:
    near = Path("/srv/showrest")
    assert readers.broker_socket(near) == near / "broker" / "broker.sock"
    far = Path("/srv") / ("a long name " * 10)
    moved = readers.broker_socket(far)
    assert len(os.fsencode(moved)) <= 100
    assert moved == readers.broker_socket(far)
    assert moved != readers.broker_socket(Path("/srv") / ("another name " * 10))


@pytest.mark.parametrize("url", ["amqp://host", "http://host"])
def test_a_broker_that_is_not_known_is_refused(url: str, tmp_path: Path) -> None:
    with pytest.raises(ImproperlyConfigured, match="REDIS_URL"):
        readers.broker(url, tmp_path, tmp_path / "s")


OIDC = {
    "SHOWREST_OIDC_SERVER": "https://id.hollinshire.example/realm",
    "SHOWREST_OIDC_CLIENT_ID": "showrest",
    "SHOWREST_OIDC_CLIENT_SECRET": "kept",
}


@pytest.fixture
def oidc(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    for name, value in OIDC.items():
        monkeypatch.setenv(name, value)
    return monkeypatch


def test_single_sign_on_is_read_whole_and_off_by_default(oidc: pytest.MonkeyPatch) -> None:
    assert readers.read_single_sign_on()["server"] == OIDC["SHOWREST_OIDC_SERVER"]
    for name in OIDC:
        oidc.delenv(name)
    assert readers.read_single_sign_on() == {}


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("SHOWREST_OIDC_SERVER", "http://id.hollinshire.example", "begin with https://"),
        ("SHOWREST_OIDC_SERVER", "", "SHOWREST_OIDC_SERVER is missing"),
        ("SHOWREST_OIDC_CLIENT_ID", "", "SHOWREST_OIDC_CLIENT_ID must be set"),
        ("SHOWREST_OIDC_CLIENT_SECRET", "", "SHOWREST_OIDC_CLIENT_SECRET must be set"),
    ],
)
def test_half_a_single_sign_on_stops_the_start(
    oidc: pytest.MonkeyPatch, name: str, value: str, said: str
) -> None:
    oidc.setenv(name, value)
    with pytest.raises(ImproperlyConfigured, match=said):
        readers.read_single_sign_on()


def test_a_secret_may_stand_in_a_file_but_not_in_two_places(
    oidc: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "secret"
    oidc.setenv("SHOWREST_OIDC_CLIENT_SECRET_FILE", str(file))
    with pytest.raises(ImproperlyConfigured, match="not both"):
        readers.read_single_sign_on()
    oidc.delenv("SHOWREST_OIDC_CLIENT_SECRET")
    with pytest.raises(ImproperlyConfigured, match="can't be read"):
        readers.read_single_sign_on()
    file.write_text("\n")
    with pytest.raises(ImproperlyConfigured, match="is empty"):
        readers.read_single_sign_on()
    file.write_text("from a file\n")
    assert readers.read_single_sign_on()["secret"] == "from a file"


def test_cookies_and_redirects_are_for_https_alone_where_it_is_on(tmp_path: Path) -> None:
    asked = (
        "import lifecycle.settings as s; print(s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE,"
        " s.SESSION_COOKIE_HTTPONLY, s.SESSION_COOKIE_SAMESITE, s.SECURE_SSL_REDIRECT,"
        " s.SECURE_HSTS_SECONDS > 0)"
    )

    def told(**more: str) -> str:
        return subprocess.run(
            [sys.executable, "-c", asked],
            cwd=ROOT,
            env={**os.environ, "SHOWREST_DATA": str(tmp_path), **more},
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()

    assert told(SHOWREST_HTTPS="1") == "True True True Lax True True"
    assert told(SHOWREST_HTTPS="0") == "False False True Lax False False"


def test_many_made_up_names_do_not_wash_away_how_often_somebody_guessed(tmp_path: Path) -> None:
    cache = FileBasedCache(str(tmp_path), as_run.CACHES["default"])
    tried = [f"account-{number}" for number in range(20)]
    for name in tried:
        cache.set(name, 5)

    for number in range(500):  # a quarter of an hour of one address at the rate it is let in
        cache.set(f"made-up-{number}", 1)

    assert [cache.get(name) for name in tried] == [5] * len(tried)


def test_every_setting_is_explained_to_whoever_runs_a_museum() -> None:
    by_the_start_itself = {"SHOWREST_BEAT", "SHOWREST_BEGINNING", "SHOWREST_DEMO"}
    code = "".join(path.read_text() for path in (ROOT / "lifecycle").rglob("*.py"))
    read = set(re.findall(r'"(SHOWREST_[A-Z0-9_]+)"', code)) - by_the_start_itself
    assert len(read) > 30
    told = (ROOT / "DEVELOPERS.md").read_text()
    assert {name for name in read if f"`{name}" not in told} == set()
