"""The nightly backup: asked for once a night, told on the way, stopped, proven or not."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from lifecycle.actions.backup.making import Busy, Failed, Tell
from lifecycle.actions.backup.whole import Outcome
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import rows
from lifecycle.actions.work.backing_up import ask_for_backup, ask_for_nightly_backup
from lifecycle.jobs import backup, sweep
from lifecycle.process.stages import Role
from lifecycle.records.models import Heartbeat, Work, WorkKind, WorkState
from tests.builders.core import AT, make_museum, make_person
from tests.builders.work import make_work

pytestmark = pytest.mark.django_db

GOOD = Outcome(
    folder="/backups/showrest-2026-06-02T09-00-00Z",
    taken_at=AT.isoformat(),
    rows=400,
    files=7,
    size=9_000_000,
    digest="ab" * 32,
    proven=True,
    faults=[],
    removed=[],
)


def night(monkeypatch: pytest.MonkeyPatch, outcome: Outcome | Exception, **told: Any) -> Work:
    """Let the worker do one backup whose making is stood in for, and return its row."""

    def made(*, root: Path, at: Any, tell: Tell) -> Outcome:
        for doing, (done, total) in told.items():
            tell(doing, done, total)
        if isinstance(outcome, Exception):
            raise outcome
        return outcome

    monkeypatch.setattr(backup, "back_up", made)
    work = make_work(key="backup/2026-06-02")
    Work.objects.filter(pk=work.pk).update(kind=WorkKind.BACKUP)
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    return work


def test_a_proven_backup_is_noted_with_its_folder_and_a_sign_of_life(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    work = night(monkeypatch, GOOD, tables=(3, 200))
    assert (work.state, work.findings) == (WorkState.DONE, [])
    assert work.doing == "400 rows and 7 files kept, and proven by restoring them."
    assert work.results == GOOD.as_data()
    assert (work.done, work.total) == (3, 200)
    assert Heartbeat.objects.get().part == "backup"


def test_a_backup_that_is_not_proven_says_why_and_gives_no_sign_of_life(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    faults = ["The rows of records_person differ from the backup's."]
    work = night(monkeypatch, replace(GOOD, proven=False, faults=faults))
    assert work.state == WorkState.DONE
    assert work.findings == faults
    assert "not proven" in work.doing
    assert not Heartbeat.objects.exists()


def test_a_backup_that_failed_is_tried_again_and_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    work = night(monkeypatch, Failed("The backup could not be written: no room."))
    assert work.state == WorkState.WAITING
    assert work.doing == "Went wrong: The backup could not be written: no room."


def test_a_backup_beside_another_ends_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    work = night(monkeypatch, Busy("Another backup is being made in /backups (process 7)."))
    assert work.state == WorkState.DONE
    assert work.doing.startswith("Another backup is being made")
    assert work.results == {}


def test_a_backup_asked_to_stop_stops_at_its_next_word(monkeypatch: pytest.MonkeyPatch) -> None:
    steward = make_person(Role.STEWARD)
    real = rows.progress

    def asked_meanwhile(**values: Any) -> bool:
        rows.stop(uid=str(values["work"].uid), by=steward, role=Role.STEWARD, at=AT)
        return real(**values)

    monkeypatch.setattr(rows, "progress", asked_meanwhile)
    work = night(monkeypatch, GOOD, tables=(3, 200))
    assert work.state == WorkState.STOPPED
    assert work.results == {}


def test_the_nightly_backup_is_asked_for_once_a_night_in_the_museums_zone() -> None:
    assert ask_for_nightly_backup(at=AT) is None  # there is no museum yet
    make_museum()  # Europe/London: 02:00 is 01:00 UTC in June
    assert ask_for_nightly_backup(at=AT.replace(hour=0, minute=59)) is None
    first = ask_for_nightly_backup(at=AT.replace(hour=1))
    assert first is not None
    assert first.kind == WorkKind.BACKUP
    assert ask_for_nightly_backup(at=AT.replace(hour=22)) == first
    assert ask_for_nightly_backup(at=AT.replace(hour=1) + timedelta(days=1)) != first


def test_the_demo_is_not_backed_up_by_itself() -> None:
    make_museum(is_demo=True)
    assert ask_for_nightly_backup(at=AT) is None


def test_the_sweep_asks_for_it(
    django_capture_on_commit_callbacks: Callable[..., object],
) -> None:
    make_museum(zone="UTC")
    with patch.object(sweep, "now", return_value=AT), patch.object(rows, "wake", return_value=True):
        sweep.sweep()
    assert Work.objects.filter(kind=WorkKind.BACKUP).count() == 1


def test_the_steward_alone_has_one_made_and_one_at_a_time() -> None:
    steward = make_person(Role.STEWARD)
    with pytest.raises(NotAllowed):
        ask_for_backup(by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT)
    ask_for_backup(by=steward, role=Role.STEWARD, at=AT)
    with pytest.raises(Refused, match="being made already"):
        ask_for_backup(by=steward, role=Role.STEWARD, at=AT + timedelta(minutes=1))
