"""A house with its tables, copied fresh for each test."""

import fcntl
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
from psycopg.sql import SQL, Identifier

from tests.running.house import PYTHON, ROOT, House

MakeHouse = Callable[..., House]
MakeDatabase = Callable[..., str]


def made_once(
    tmp_path_factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]
) -> Path:
    """A folder that the first of all workers of this run makes whole, to be copied."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    folder, part = shared / name, shared / f"{name}.part"
    with (shared / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            shutil.rmtree(part, ignore_errors=True)
            make(part)
            part.rename(folder)
    return folder


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with every table made, once for all tests of a run."""

    def make(folder: Path) -> None:
        made = House(folder).run("upgrade")
        assert made.returncode == 0, made.stdout

    return made_once(tmp_path_factory, "furnished", make)


@pytest.fixture(scope="session")
def filled(furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A furnished data folder with a small museum in it."""

    def make(folder: Path) -> None:
        shutil.copytree(furnished, folder)
        House(folder).filling("fill")

    return made_once(tmp_path_factory, "filled", make)


@pytest.fixture
def make_museum_house(filled: Path, tmp_path: Path) -> Iterator[MakeHouse]:
    """Make a house from the filled one, or (``empty=True``) on a folder that is not there yet."""
    made: list[House] = []

    def make(name: str = "d", *, empty: bool = False, **settings: str) -> House:
        folder = tmp_path / name
        if empty:
            folder.mkdir()
        else:
            shutil.copytree(filled, folder)
        made.append(House(folder, **settings))
        return made[-1]

    yield make
    for house in made:
        house.end()


@contextmanager
def postgresql_server() -> Iterator[str]:
    """The address of a server: the one that is named, else one from the wheel for this run."""
    if named := os.environ.get("TEST_DATABASE_URL"):
        yield named
        return
    told = "import os, sys; print(os.environ['TEST_DATABASE_URL'], flush=True); sys.stdin.read()"
    with subprocess.Popen(
        [PYTHON, "-W", "ignore", ROOT / ".ci" / "on_postgres.py", PYTHON, "-c", told],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:
        assert server.stdin is not None
        assert server.stdout is not None
        yield server.stdout.readline().strip()
        server.stdin.close()


@pytest.fixture(scope="session")
def postgresql() -> Iterator[MakeDatabase]:
    """Make a PostgreSQL database, empty or a copy of another, and give its address."""
    made: list[str] = []
    with postgresql_server() as named:
        parts = urlsplit(named)

        def make(copy_of: str = "") -> str:
            name = f"house_{os.getpid()}_{len(made)}"
            template = urlsplit(copy_of).path[1:] or "template0"
            with psycopg.connect(named, autocommit=True) as line:
                line.execute(
                    SQL("CREATE DATABASE {} TEMPLATE {}").format(
                        Identifier(name), Identifier(template)
                    )
                )
            made.append(name)
            return urlunsplit(parts._replace(path=f"/{name}"))

        yield make
        ours = os.environ.get("TEST_DATABASE_URL") == named  # else they go with their server
        with psycopg.connect(named, autocommit=True) as line:
            for name in made if ours else []:
                line.execute(SQL("DROP DATABASE {} WITH (FORCE)").format(Identifier(name)))


@pytest.fixture(scope="session")
def filled_postgresql(
    postgresql: MakeDatabase, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, str]:
    """The small museum on PostgreSQL, once for a run: its folder, and its database's address."""
    folder, address = tmp_path_factory.mktemp("server"), postgresql()
    house = House(folder, DATABASE_URL=address)
    assert house.run("upgrade").returncode == 0
    house.filling("fill")
    return folder, address


@pytest.fixture(params=["sqlite", "postgresql"])
def museum(
    request: pytest.FixtureRequest, make_museum_house: MakeHouse, postgresql: MakeDatabase
) -> House:
    """A small museum on each of the two databases."""
    if request.param == "sqlite":
        return make_museum_house()
    folder, address = request.getfixturevalue("filled_postgresql")
    house = make_museum_house(empty=True, DATABASE_URL=postgresql(address))
    shutil.copytree(folder, house.folder, dirs_exist_ok=True)
    return house


@pytest.fixture
def make_house(furnished: Path, tmp_path: Path) -> Iterator[MakeHouse]:
    """Make a house from the furnished one; everything it started is ended with the test."""
    if sys.platform == "win32" or not hasattr(socket, "AF_UNIX"):
        pytest.skip("the embedded broker needs unix sockets")
    made: list[House] = []

    def make(name: str = "d", **settings: str) -> House:
        folder = tmp_path / name
        shutil.copytree(furnished, folder)
        made.append(House(folder, **settings))
        return made[-1]

    yield make
    for house in made:
        house.end()
