"""A big picture is kept at once, and the worker makes what is looked at, whole or not at all."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage

from lifecycle.actions import picture_copies
from lifecycle.actions.picture_copies import ask_for_missing_copies
from lifecycle.actions.pictures import receive_picture
from lifecycle.actions.work import rows
from lifecycle.exchange.kept_files import UNFINISHED
from lifecycle.exchange.pictures import reading
from lifecycle.jobs import sweep
from lifecycle.queries.pictures import (
    copies_missing,
    levels_path,
    picture_bytes,
    picture_path,
    stored_files,
    tile_bytes,
)
from lifecycle.records.models import Work, WorkKind, WorkState
from tests.builders.condition import make_picture
from tests.builders.condition import picture_bytes as drawn
from tests.builders.core import AT

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def do(work: Work) -> Work:
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    return work


def test_levels_are_asked_for_made_and_handed_out_part_by_part() -> None:
    picture = make_picture(data=drawn(1700, 600))
    assert picture_bytes(picture, "screen")  # a JPEG shows at once
    work = Work.objects.get(kind=WorkKind.PICTURE_COPIES)
    with pytest.raises(FileNotFoundError):
        tile_bytes(picture, 0, 0, 0)
    done = do(work)
    assert (done.state, done.doing) == (WorkState.DONE, "“face.jpg” is ready to look into.")
    assert tile_bytes(picture, 0, 3, 1).startswith(b"\xff\xd8")
    with pytest.raises(FileNotFoundError):
        tile_bytes(picture, 0, 4, 0)
    # The same content once more finds everything made.
    make_picture(data=drawn(1700, 600), by=picture.taken_by)
    assert Work.objects.filter(kind=WorkKind.PICTURE_COPIES).count() == 1


def test_a_big_picture_of_another_kind_is_decoded_in_the_worker_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reading, "AT_ONCE_PIXELS", 1000)
    picture = make_picture(data=drawn(90, 60, "PNG"))
    with pytest.raises(FileNotFoundError):
        picture_bytes(picture, "screen")
    assert do(Work.objects.get()).state == WorkState.DONE
    assert picture_bytes(picture, "screen").startswith(b"\xff\xd8")
    assert picture_bytes(picture, "thumbnail").startswith(b"\xff\xd8")
    assert not default_storage.exists(levels_path(picture.sha256))
    assert not copies_missing(picture)


def test_a_picture_the_worker_can_t_read_is_said_once_and_the_file_stays() -> None:
    picture = make_picture(data=drawn(1700, 600))
    path = Path(default_storage.path(picture_path(picture.sha256, "original", picture.mime)))
    path.write_bytes(path.read_bytes()[:900])
    done = do(Work.objects.get())
    assert done.state == WorkState.DONE
    assert "damaged or cut off" in done.results["bad"]
    assert path.exists()
    assert not list(path.parent.glob(f"{UNFINISHED}*"))
    assert not default_storage.exists(levels_path(picture.sha256))
    assert ask_for_missing_copies(at=AT) == 0


def test_pictures_of_an_earlier_version_are_asked_for_in_the_night(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make_picture()  # small, and complete
    old = [make_picture(data=drawn(1700, 40 + n)) for n in range(3)]
    Work.objects.all().delete()
    monkeypatch.setattr(picture_copies, "MOST_IN_A_NIGHT", 2)
    assert ask_for_missing_copies(at=AT) == 2
    assert ask_for_missing_copies(at=AT) == 1
    assert ask_for_missing_copies(at=AT) == 0
    assert {work.inputs["picture"] for work in Work.objects.all()} == {str(p.uid) for p in old}


def test_a_picture_is_read_and_written_before_the_database_is_asked(
    django_assert_num_queries: Any,
) -> None:
    """The embedded database lets nobody else write during a transaction."""
    with django_assert_num_queries(0):
        received = receive_picture(drawn(90, 60))
    assert len(list(stored_files())) == 3
    assert make_picture(data=received).sha256 == received.sha256


def test_work_that_is_stopped_leaves_no_half_levels(monkeypatch: pytest.MonkeyPatch) -> None:
    picture = make_picture(data=drawn(1700, 600))
    work = Work.objects.get()
    monkeypatch.setattr(rows, "progress", lambda **_: False)  # as when somebody asked to stop
    sweep.do_work(str(work.uid))
    assert not default_storage.exists(levels_path(picture.sha256))
    folder = Path(default_storage.path(levels_path(picture.sha256))).parent
    assert sorted(file.name for file in folder.iterdir()) == [
        "original.jpg",
        "screen.jpg",
        "thumbnail.jpg",
    ]
