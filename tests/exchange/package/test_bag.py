"""Bags are written after RFC 8493, and an independent library finds what was done to one.

Outside check: ``bagit`` (Library of Congress, public domain) reads and validates what we write.
"""

import hashlib
import zipfile
from collections.abc import Callable
from pathlib import Path

import bagit
import pytest

from lifecycle.exchange.package.bag import (
    BagFault,
    faults_of_bag,
    payload_file,
    payload_names,
    seal,
)
from lifecycle.exchange.package.tables import csv_table, guarded
from lifecycle.exchange.package.zipping import zip_folder

INFO = {"Source-Organization": "Hollinshire County Museum", "Bagging-Date": "2026-06-02"}
FILES = {
    "README.txt": b"Plain words.\n",
    "pictures/HCM.1908.12--recto.jpg": b"\xff\xd8 not really",
    "tables/light-reading.csv": b"lasting mark,lux\r\n1,42\r\n",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    bag = tmp_path / "HCM.1908.12"
    for name, data in FILES.items():
        with payload_file(bag, name) as file:
            file.write(data)
    seal(bag, INFO)
    return bag


def test_an_independent_library_finds_the_bag_whole(folder: Path) -> None:
    bag = bagit.Bag(str(folder))
    assert bag.validate(processes=1)
    assert bag.version_info == (1, 0)
    assert bag.info["Source-Organization"] == "Hollinshire County Museum"
    assert bag.info["Payload-Oxum"] == f"{sum(map(len, FILES.values()))}.3"
    assert set(bag.payload_files()) == {f"data/{name}" for name in FILES}
    assert list(faults_of_bag(folder)) == []


def test_the_digest_of_each_file_is_its_sha_256(folder: Path) -> None:
    lines = (folder / "manifest-sha256.txt").read_text().splitlines()
    found = dict(line.split("  ", 1)[::-1] for line in lines)
    assert found["data/README.txt"] == hashlib.sha256(b"Plain words.\n").hexdigest()
    assert set(found) == {f"data/{name}" for name in FILES}


def flip_a_byte(folder: Path) -> None:
    path = folder / "data" / "tables" / "light-reading.csv"
    data = bytearray(path.read_bytes())
    data[20] ^= 1
    path.write_bytes(bytes(data))


def lose_a_file(folder: Path) -> None:
    (folder / "data" / "README.txt").unlink()


def add_a_file(folder: Path) -> None:
    (folder / "data" / "more.txt").write_text("not there before")


def change_the_info(folder: Path) -> None:
    (folder / "bag-info.txt").write_text("Source-Organization: Somebody else\n")


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (flip_a_byte, "data/tables/light-reading.csv is not what it was"),
        (lose_a_file, "data/README.txt is in the checksum list, but not in the folder"),
        (add_a_file, "data/more.txt is in the folder, but not in the checksum list"),
        (change_the_info, "bag-info.txt is not what it was"),
    ],
)
def test_harm_is_found_by_us_and_by_the_library(
    folder: Path, harm: Callable[[Path], None], said: str
) -> None:
    harm(folder)
    faults = list(faults_of_bag(folder))
    assert len(faults) == 1
    assert faults[0].startswith(said)
    assert not bagit.Bag(str(folder)).is_valid()


def test_a_folder_that_was_never_sealed_is_no_package(tmp_path: Path) -> None:
    with payload_file(tmp_path, "README.txt") as file:
        file.write(b"x")
    (fault,) = faults_of_bag(tmp_path)
    assert "bagit.txt" in fault


def test_a_list_that_points_outside_is_a_fault_and_nothing_outside_is_read(folder: Path) -> None:
    (folder.parent / "secret.txt").write_text("not yours")
    digest = hashlib.sha256(b"not yours").hexdigest()
    with (folder / "manifest-sha256.txt").open("a") as file:
        file.write(f"{digest}  data/../../secret.txt\n")
    faults = list(faults_of_bag(folder))
    assert any("names a file outside the package" in fault for fault in faults)


@pytest.mark.parametrize(
    "name",
    ["", "/etc/passwd", "../up.txt", "a//b.txt", "a/../b", "a\\b.txt", "100%.txt", "a\nb"],
)
def test_a_payload_name_stays_inside(tmp_path: Path, name: str) -> None:
    with pytest.raises(BagFault), payload_file(tmp_path, name):
        pass
    assert list(tmp_path.rglob("*")) == []


def write_half(folder: Path) -> None:
    with payload_file(folder, "half.txt") as file:
        file.write(b"ha")
        raise RuntimeError


def test_a_file_that_was_not_finished_does_not_count(tmp_path: Path) -> None:
    with payload_file(tmp_path, "whole.txt") as file:
        file.write(b"whole")
    with pytest.raises(RuntimeError):
        write_half(tmp_path)
    seal(tmp_path, INFO)
    assert list(payload_names(tmp_path)) == ["data/whole.txt"]
    assert list(faults_of_bag(tmp_path)) == []
    assert bagit.Bag(str(tmp_path)).is_valid()


def test_the_same_payload_gives_the_same_bag(folder: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    for name, data in reversed(FILES.items()):
        with payload_file(again, name) as file:
            file.write(data)
    seal(again, INFO)
    for name in ("bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"):
        assert (again / name).read_bytes() == (folder / name).read_bytes()


def test_the_zip_holds_one_folder_with_the_whole_bag(folder: Path, tmp_path: Path) -> None:
    seen: list[int] = []
    target = tmp_path / "out.zip"
    size = zip_folder(folder, target, seen.append)
    assert size == target.stat().st_size
    with zipfile.ZipFile(target) as archive:
        assert archive.testzip() is None
        assert all(name.startswith("HCM.1908.12/") for name in archive.namelist())
        archive.extractall(tmp_path / "taken out")
    assert bagit.Bag(str(tmp_path / "taken out" / "HCM.1908.12")).is_valid()
    assert sum(seen) == sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("=1+1", "'=1+1"),
        ("@sum", "'@sum"),
        (" -x", "' -x"),
        ("-12.5", "-12.5"),
        ("plain = text", "plain = text"),
        ("'=1", "''=1"),
    ],
)
def test_text_in_a_table_is_never_computed(tmp_path: Path, text: str, written: str) -> None:
    assert guarded(text) == written
    with csv_table(tmp_path, "tables/x.csv", ("note",)) as line:
        line([text])
    assert (tmp_path / "data/tables/x.csv").read_bytes() == f"note\r\n{written}\r\n".encode()
