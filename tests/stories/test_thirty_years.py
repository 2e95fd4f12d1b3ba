"""The reader after thirty years, who has the folder and nothing else.

Given the tool is gone, when someone opens the export folder of HCM.1908.12, then a README in plain
words, one text file per report with full names, units and term definitions, CSV of readings,
images, PDFs and a checksum list are there, and the digest printed at the foot of a paper from 2026
can be recomputed from the text file.

Outside checks: the bag by ``bagit`` (Library of Congress); the digest at the foot of the paper by
``hashlib`` (SHA-256, FIPS 180-4) over the text file, and read off the PDF by ``pypdf``.
"""

import csv
import hashlib
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import bagit
import pytest
from django.db import transaction
from django.test import override_settings
from PIL import Image

from tests.builders.package import NUMBER, TITLE, Diary, make_diary, save
from tests.papers.reading import page_texts

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def saved(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Diary, Path]]:
    """The diary and the payload of its package, made once: the tests read and write nothing."""
    root = tmp_path_factory.mktemp("thirty")
    with (
        django_db_blocker.unblock(),
        override_settings(MEDIA_ROOT=root / "media"),
        transaction.atomic(),
    ):
        diary = make_diary()
        yield diary, save(diary.museum_object, root / f"{NUMBER}-open-package").folder / "data"
        transaction.set_rollback(True)


@pytest.fixture
def diary(saved: tuple[Diary, Path]) -> Diary:
    return saved[0]


@pytest.fixture
def folder(saved: tuple[Diary, Path]) -> Path:
    """The payload; from here on a test reads files and asks no row."""
    return saved[1]


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_readme_says_in_plain_words_what_this_is_and_how_to_check_it(folder: Path) -> None:
    readme = (folder / "README.txt").read_text(encoding="utf-8")
    words = " ".join(readme.split())
    assert f"{NUMBER}, {TITLE}" in words
    assert "Made by Ines Fairweather (steward) for Hollinshire County Museum on" in words
    assert "2 June 2026, 09:00:00 UTC" in words
    assert "The program is not needed to read this" in words
    assert "sha256sum -c manifest-sha256.txt" in words
    assert "How to recompute the digest at the foot of a paper" in words
    assert max(map(len, readme.splitlines())) <= 92
    for there in sorted(path.name for path in folder.iterdir() if path.is_dir()):
        assert f"{there}/" in readme


def test_every_report_is_one_text_file_with_names_units_and_definitions(folder: Path) -> None:
    reports = sorted((folder / "records/condition-reports").iterdir())
    assert [path.name.partition("-V")[2] for path in reports] == ["1.txt", "2.txt"]
    text = reports[0].read_text(encoding="utf-8")
    assert f"Museum object: {NUMBER}, {TITLE}" in text
    assert "Examiners: Marit Oldacre" in text
    assert "Length: 14 millimetres" in text
    assert "Grade: fair\n    (fair: Flawed or incomplete, but stable; " in text
    assert "Zone: C2 bottom centre\n" in text.replace("        ", "")
    assert "Marit Oldacre (conservator): signed as author" in text
    assert "off_going" not in text
    corrected = reports[1].read_text(encoding="utf-8")
    assert "The tear is longer than was written." in corrected


def test_readings_stand_in_a_table_whose_columns_are_explained(folder: Path) -> None:
    rows = table(folder / "tables/light-reading.csv")
    assert [(row["illuminance (lux)"], row["read at"]) for row in rows] == [
        ("44", "2026-05-06T09:00:00Z"),
        ("46.5", "2026-05-19T09:00:00Z"),
    ]
    described = {
        (row["table"], row["column"]): row for row in table(folder / "tables/DATA-DICTIONARY.csv")
    }
    for path in (folder / "tables").glob("[a-z]*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for column in next(csv.reader(file)):
                assert described[path.name, column]["meaning"]
                assert described[path.name, column]["type"]
    assert described["light-reading.csv", "illuminance (lux)"]["unit"] == "lux"
    assert "daylight part" in described["light-reading.csv", "lamp state"]["allowed words"]


def test_pictures_papers_and_scans_are_there_and_open(folder: Path, diary: Diary) -> None:
    pictures = sorted((folder / "pictures").iterdir())
    assert pictures
    assert all(path.name.startswith(f"{NUMBER}--ff.-31v-32r--condition") for path in pictures)
    with Image.open(pictures[0]) as picture:
        assert picture.size == (90, 60)
    assert len(list((folder / "scans").iterdir())) == 1
    for row in (diary.paper_of_first, diary.paper_of_second, diary.form, diary.scanned):
        pdf = (folder / f"papers/{row.print_no}.pdf").read_bytes()
        assert all(row.print_no in page for page in page_texts(pdf))


@pytest.mark.parametrize("which", ["paper_of_first", "paper_of_second", "form"])
def test_the_digest_at_the_foot_of_a_paper_is_recomputed_from_a_text_file(
    folder: Path, diary: Diary, which: str
) -> None:
    number = getattr(diary, which).print_no
    foot = page_texts((folder / f"papers/{number}.pdf").read_bytes())[0]
    (row,) = (
        line
        for line in table(folder / "DIGESTS.csv")
        if line["PDF of the paper"] == f"papers/{number}.pdf"
    )
    source = folder / row["file that gives this digest"]
    digest = hashlib.sha256(source.read_bytes()).hexdigest()
    assert digest == row["SHA-256"]
    assert f"{digest[:5]} {digest[5:10]}" == row["at the foot of the paper"]
    assert f"{digest[:5]} {digest[5:10]}" in foot
    in_signed_words = source.is_relative_to(folder / "signed-words/condition-reports")
    assert in_signed_words == (which != "form")


def test_the_old_version_of_a_report_keeps_its_own_words_and_digest(folder: Path) -> None:
    one, two = sorted((folder / "signed-words/condition-reports").iterdir())
    assert one.read_bytes() != two.read_bytes()
    assert b"Corrects version: 1\n" in two.read_bytes()


def test_the_checksum_list_holds_and_finds_one_flipped_byte(folder: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(folder.parent, tmp_path / "copy") / "data"
    assert bagit.Bag(str(folder.parent)).validate(processes=1)
    picture = next((folder / "pictures").iterdir())
    data = bytearray(picture.read_bytes())
    data[len(data) // 2] ^= 1
    picture.write_bytes(bytes(data))
    with pytest.raises(bagit.BagValidationError, match=picture.name):
        bagit.Bag(str(folder.parent)).validate(processes=1)


def test_no_file_name_needs_more_than_any_system_has(folder: Path) -> None:
    for path in folder.rglob("*"):
        assert path.name.isascii()
        assert len(path.name) <= 90
        assert not set(path.name) & set('<>:"\\|?* %')


def test_the_words_are_utf_8_and_whole(folder: Path) -> None:
    for path in [*folder.rglob("*.txt"), *folder.rglob("*.csv"), *folder.rglob("*.jsonl")]:
        assert path.read_bytes().decode("utf-8", errors="strict")
