"""Packages made by the worker: progress, stop, taken up again, cleared away."""

import os
import zipfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import bagit
import pytest
from django.utils.timezone import now

from lifecycle.actions.package.asking import ask_for_package
from lifecycle.actions.package.keeping import KEPT_FOR, clear_away, kept_file, room_of
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.jobs import packages, sweep
from lifecycle.process.stages import Role
from lifecycle.records.models import MuseumObject, Person, Work, WorkState
from tests.builders.core import make_face, make_museum, make_object, make_person, make_showing

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.PACKAGES_DIR = tmp_path / "packages"
    make_museum()


@pytest.fixture
def steward() -> Person:
    return make_person(Role.STEWARD, name="Ines Fairweather")


@pytest.fixture
def diary() -> MuseumObject:
    thing = make_object(object_number="HCM.1908.12", title="Weather diary")
    make_face(thing)
    return thing


def asked(by: Person, subject: Any) -> Work:
    return ask_for_package(by=by, role=Role.STEWARD, at=now(), subject=subject)


def test_the_worker_makes_a_whole_bag_in_one_zip_file(
    steward: Person, diary: MuseumObject, tmp_path: Path
) -> None:
    work = asked(steward, diary)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.DONE, work.doing
    assert work.done == work.total > 0
    path = kept_file(work)
    assert path is not None
    assert path.stat().st_size == work.results["bytes"]
    with zipfile.ZipFile(path) as archive:
        archive.extractall(tmp_path / "out")
    (bag,) = (tmp_path / "out").iterdir()
    assert bag.name == path.stem
    assert bag.name.startswith("HCM.1908.12-open-package-")
    assert bagit.Bag(str(bag)).validate(processes=1)
    assert "Ines Fairweather (steward)" in (bag / "data/README.txt").read_text()
    assert sorted(one.name for one in room_of(work).iterdir()) == sorted([path.name, "notes"])


def test_a_package_that_was_asked_to_stop_leaves_nothing(
    steward: Person, diary: MuseumObject, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packages, "TELL_EVERY_S", 0.0)
    work = asked(steward, diary)
    told: list[str] = []
    real = rows.progress

    def progress(**values: Any) -> bool:
        told.append(values["doing"])
        if len(told) == 3:
            rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=now())
        return real(**values)

    monkeypatch.setattr(rows, "progress", progress)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.STOPPED
    assert len(told) == 3
    assert not room_of(work).exists()
    assert kept_file(work) is None


def test_a_worker_that_lost_its_row_leaves_the_others_work_alone(
    steward: Person, diary: MuseumObject, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(packages, "TELL_EVERY_S", 0.0)
    work = asked(steward, diary)
    monkeypatch.setattr(rows, "progress", lambda **_: False)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.RUNNING
    assert room_of(work).exists()


def test_a_killed_worker_s_package_is_finished_by_the_next(
    steward: Person, diary: MuseumObject, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = asked(steward, diary)

    def die(*_: object) -> int:
        raise OSError("No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(packages, "zip_folder", die)
        sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert (work.state, work.attempts) == (WorkState.WAITING, 1)
    assert "No space left on device" in work.doing
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.state == WorkState.DONE
    assert kept_file(work) is not None


def test_a_package_is_kept_for_some_days_and_then_cleared_away(
    steward: Person, diary: MuseumObject
) -> None:
    work = asked(steward, diary)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert work.ended_at is not None
    assert clear_away(at=work.ended_at + KEPT_FOR) == 0
    assert kept_file(work) is not None
    assert clear_away(at=work.ended_at + KEPT_FOR + timedelta(seconds=1)) == 1
    work.refresh_from_db()
    assert kept_file(work) is None
    assert not room_of(work).exists()
    assert work.results["cleared"]
    assert work.results["sha256"]
    assert clear_away(at=work.ended_at + 2 * KEPT_FOR) == 0


def test_what_failed_leaves_no_folder_and_a_strangers_folder_stays(
    steward: Person, diary: MuseumObject, settings: Any
) -> None:
    work = asked(steward, diary)
    room_of(work).mkdir(parents=True)
    stranger = Path(settings.PACKAGES_DIR) / "somebody-elses"
    stranger.mkdir()
    assert clear_away(at=now()) == 0
    Work.objects.filter(pk=work.pk).update(state=WorkState.FAILED)
    assert clear_away(at=now()) == 1
    assert os.listdir(settings.PACKAGES_DIR) == ["somebody-elses"]


def test_the_sweep_clears_packages_away(
    steward: Person, diary: MuseumObject, monkeypatch: pytest.MonkeyPatch
) -> None:
    work = asked(steward, diary)
    sweep.do_work(str(work.uid))
    Work.objects.filter(pk=work.pk).update(ended_at=now() - KEPT_FOR - timedelta(hours=1))
    monkeypatch.setattr(rows, "wake", lambda *_: False)
    sweep.sweep()
    assert not room_of(work).exists()


def test_the_same_package_is_not_made_twice_at_once(steward: Person, diary: MuseumObject) -> None:
    asked(steward, diary)
    with pytest.raises(Refused, match="being made already"):
        asked(steward, diary)
    assert asked(steward, None).inputs["what"] == "museum"


def test_a_showing_is_saved_when_it_is_over(steward: Person) -> None:
    showing = make_showing()
    with pytest.raises(Refused, match="is not over yet"):
        asked(steward, showing)


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.STEWARD])
def test_only_the_steward_asks_for_a_package(role: Role, diary: MuseumObject) -> None:
    with pytest.raises(NotAllowed):
        ask_for_package(by=make_person(role), role=role, at=now(), subject=diary)
    assert not Work.objects.exists()
