"""Files of the store are whole or not there."""

import os
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage

from lifecycle.exchange.kept_files import UNFINISHED, keep_file, take_out
from lifecycle.queries.pictures import stored_files

NAME = "pictures/ab/abcd.jpg"


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def test_a_file_is_kept_once_and_can_be_read_by_whoever_may_read_the_store(store: Path) -> None:
    keep_file(NAME, b"whole")
    before = (store / NAME).stat()
    keep_file(NAME, b"whole")
    assert (store / NAME).stat().st_mtime_ns == before.st_mtime_ns
    assert before.st_mode & 0o777 == 0o644
    assert list(stored_files()) == [NAME]


def test_an_upload_that_is_killed_leaves_no_file_under_that_name(
    store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(*_: Any) -> None:
        raise SystemExit

    monkeypatch.setattr(os, "fsync", killed)
    with pytest.raises(SystemExit):
        keep_file(NAME, b"half of it")
    assert not default_storage.exists(NAME)
    # A process that is killed outright can't tidy up: what it leaves is passed over.
    (store / "pictures/ab" / f"{UNFINISHED}x").write_bytes(b"half")
    assert list(stored_files()) == []


def test_half_a_file_under_that_name_is_written_anew(store: Path) -> None:
    keep_file(NAME, b"half")
    keep_file(NAME, b"half and half")
    assert (store / NAME).read_bytes() == b"half and half"


@pytest.mark.parametrize("named", [True, False])
def test_a_file_is_asked_after_once_it_is_out_and_put_back_when_it_is_named_by_then(
    store: Path, named: bool
) -> None:
    keep_file(NAME, b"whole")

    def named_meanwhile() -> bool:
        assert not default_storage.exists(NAME), "who keeps it now writes it again"
        return named

    take_out(NAME, unless=named_meanwhile)
    assert list(stored_files()) == ([NAME] if named else [])
    assert len(list((store / "pictures/ab").iterdir())) == named
    take_out("pictures/ab/gone.jpg", unless=lambda: True)
