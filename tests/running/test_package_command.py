"""``manage.py package`` writes a folder that ``manage.py verify --package`` finds whole."""

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.builders.core import make_face, make_museum, make_object, make_showing
from tests.builders.package import CONTACT, close, lend, make_diary

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    make_museum(name="Hollinshire County Museum")


def run(*args: str) -> str:
    out = StringIO()
    call_command(*args, stdout=out, stderr=out)
    return out.getvalue()


def only(folder: Path) -> Path:
    (found,) = folder.iterdir()
    return found


def test_an_object_becomes_a_folder_that_is_found_whole(tmp_path: Path) -> None:
    make_face(make_object(object_number="HCM.1908.12"))
    said = run("package", "--object", "hcm.1908.12", "--to", str(tmp_path / "out"))
    folder = only(tmp_path / "out")
    assert folder.name.startswith("HCM.1908.12-open-package-")
    assert str(folder) in said
    assert "every file is what it was" in run("verify", "--package", str(folder))


def test_verify_names_the_file_that_was_changed(tmp_path: Path) -> None:
    run("package", "--museum", "--to", str(tmp_path / "out"))
    folder = only(tmp_path / "out")
    assert folder.name.startswith("Hollinshire-County-Museum-open-package-")
    with (folder / "data/README.txt").open("a") as file:
        file.write("!")
    out = StringIO()
    with pytest.raises(CommandError, match=r": 1 fault\."):
        call_command("verify", "--package", str(folder), stderr=out)
    assert "data/README.txt is not what it was" in out.getvalue()


def test_a_closed_showing_becomes_a_folder_and_an_open_one_is_refused(tmp_path: Path) -> None:
    showing = make_showing()
    with pytest.raises(CommandError, match="is not over yet"):
        run("package", "--showing", showing.request_no, "--to", str(tmp_path / "out"))
    assert not (tmp_path / "out").exists()
    close(showing)
    run("package", "--showing", showing.request_no, "--to", str(tmp_path / "out"))
    assert only(tmp_path / "out").name.startswith(showing.request_no)


def test_restricted_matters_are_in_it_only_when_asked_for(tmp_path: Path) -> None:
    lend(make_diary())
    for folder, flags in (("plain", ()), ("restricted", ("--restricted",))):
        run("package", "--museum", "--to", str(tmp_path / folder), *flags)
        told = any(
            CONTACT in path.read_text(encoding="utf-8")
            for path in (tmp_path / folder).rglob("*.csv")
        )
        assert told == (folder == "restricted")


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--object", "HCM.0"), "No object has the number “HCM.0”."),
        (("--showing", "RQ-0"), "No showing has the number “RQ-0”."),
        ((), "one of the arguments --object --showing --museum is required"),
        (("--museum", "--object", "HCM.1"), "not allowed with argument"),
    ],
)
def test_what_cannot_be_saved_is_said(tmp_path: Path, args: tuple[str, ...], said: str) -> None:
    with pytest.raises(CommandError, match=said):
        run("package", *args, "--to", str(tmp_path / "out"))


def test_a_folder_that_is_there_already_is_not_written_over(tmp_path: Path) -> None:
    make_face(make_object(object_number="HCM.1908.12"))
    args = ("package", "--object", "HCM.1908.12", "--to", str(tmp_path / "out"))
    run(*args)
    with pytest.raises(CommandError, match="is there already"):
        run(*args)
