"""A house with its tables, copied fresh for each test."""

import shutil
import socket
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.running.house import House

MakeHouse = Callable[..., House]


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with every table made, once for all tests of a run."""
    folder = tmp_path_factory.mktemp("furnished")
    made = House(folder).run("migrate", "--verbosity", "0")
    assert made.returncode == 0, made.stdout
    return folder


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
