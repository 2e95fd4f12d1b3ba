"""Pieces of work: claimed by one, taken up again after a death, stopped when asked."""

from collections.abc import Callable
from datetime import timedelta
from unittest.mock import patch

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import ask, rows
from lifecycle.actions.work.checking import ask_for_check, ask_for_nightly_check
from lifecycle.jobs import sweep
from lifecycle.process.stages import Role
from lifecycle.records.models import Work, WorkKind, WorkState
from tests.builders.core import AT, make_museum, make_person
from tests.builders.work import make_work

pytestmark = pytest.mark.django_db


def claimed(work: Work, worker: str = "one") -> Work:
    taken = rows.claim(uid=str(work.uid), worker=worker, at=AT)
    assert taken is not None
    return taken


def test_one_row_is_claimed_by_one_worker() -> None:
    work = make_work()
    assert rows.claim(uid=str(work.uid), worker="one", at=AT) is not None
    assert rows.claim(uid=str(work.uid), worker="two", at=AT) is None


def test_a_dead_workers_lease_runs_out_and_another_takes_up_where_it_was() -> None:
    work = claimed(make_work())
    rows.progress(work=work, done=50, total=80, doing="50 of 80", at=AT)
    later = AT + rows.LEASE
    assert rows.claim(uid=str(work.uid), worker="two", at=later) is None
    second = rows.claim(uid=str(work.uid), worker="two", at=later + timedelta(seconds=1))
    assert second is not None
    assert (second.done, second.attempts) == (50, 2)


def test_a_worker_that_lost_its_lease_is_told_to_stop_and_cannot_finish() -> None:
    first = claimed(make_work())
    rows.claim(uid=str(first.uid), worker="two", at=AT + rows.LEASE + timedelta(seconds=1))
    assert not rows.progress(work=first, done=1, total=2, doing="", at=AT)
    assert not rows.finish(work=first, at=AT, doing="")
    assert Work.objects.get(pk=first.pk).worker == "two"


def test_progress_renews_the_lease() -> None:
    work = claimed(make_work())
    soon = AT + timedelta(seconds=100)
    assert rows.progress(work=work, done=1, total=2, doing="1 of 2", at=soon)
    assert Work.objects.get(pk=work.pk).lease_until == soon + rows.LEASE


def test_a_running_work_stops_after_its_present_part() -> None:
    steward = make_person(Role.STEWARD)
    work = claimed(make_work())
    rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)
    assert not rows.progress(work=work, done=1, total=2, doing="", at=AT)
    stopped = Work.objects.get(pk=work.pk)
    assert (stopped.state, stopped.done, stopped.stop_asked_by) == (WorkState.STOPPED, 1, steward)


def test_a_waiting_work_stops_at_once_and_is_not_claimed() -> None:
    steward = make_person(Role.STEWARD)
    work = make_work()
    rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)
    assert rows.claim(uid=str(work.uid), worker="one", at=AT) is None
    with pytest.raises(Refused, match="already stopped"):
        rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)


def test_a_work_asked_to_stop_whose_worker_died_is_ended_by_the_sweep() -> None:
    steward = make_person(Role.STEWARD)
    work = claimed(make_work())
    rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)
    rows.sweep(at=AT + rows.LEASE + timedelta(seconds=1))
    assert Work.objects.get(pk=work.pk).state == WorkState.STOPPED


def test_a_work_asked_to_stop_is_not_taken_up_again_when_its_worker_died() -> None:
    steward = make_person(Role.STEWARD)
    work = claimed(make_work())
    rows.stop(uid=str(work.uid), by=steward, role=Role.STEWARD, at=AT)
    later = AT + rows.LEASE + timedelta(seconds=1)
    assert rows.claim(uid=str(work.uid), worker="two", at=later) is None


def test_only_the_steward_stops_work() -> None:
    work = make_work()
    curator = make_person(Role.CURATOR)
    with pytest.raises(NotAllowed):
        rows.stop(uid=str(work.uid), by=curator, role=Role.CURATOR, at=AT)


def test_the_sweep_wakes_what_waited_too_long_and_what_was_abandoned() -> None:
    waiting, abandoned = make_work(), claimed(make_work(key="b"))
    make_work(key="fresh", at=AT + rows.LEASE)
    make_work(key="done", state=WorkState.DONE)
    with patch.object(rows, "wake", return_value=True) as wake:
        assert rows.sweep(at=AT + rows.LEASE + timedelta(seconds=1)) == 2
    assert {call.args[1] for call in wake.call_args_list} == {str(waiting.uid), str(abandoned.uid)}


def test_work_that_kills_its_worker_every_time_is_given_up_in_words() -> None:
    work = make_work(
        state=WorkState.RUNNING, lease_until=AT, attempts=rows.MOST_ATTEMPTS, worker="one"
    )
    with patch.object(rows, "wake"):
        assert rows.sweep(at=AT + timedelta(seconds=1)) == 0
    work.refresh_from_db()
    assert (work.state, work.doing) == (
        WorkState.FAILED,
        "Given up: the worker died 5 times over this.",
    )


def test_work_that_goes_wrong_waits_again_and_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(work: Work) -> str:
        raise OSError("The store is away")

    monkeypatch.setitem(sweep.DOING, WorkKind.CHECK_RECORDS, broken)
    work = make_work()
    sweep.do_work(str(work.uid))
    work.refresh_from_db()
    assert (work.state, work.doing) == (WorkState.WAITING, "Went wrong: The store is away")


def test_a_key_asks_for_one_piece_of_work() -> None:
    first = ask(kind=WorkKind.CHECK_RECORDS, key="k", by=None, at=AT)
    assert ask(kind=WorkKind.CHECK_RECORDS, key="k", by=None, at=AT) == first


def test_what_is_asked_for_wakes_a_worker_only_once_it_is_committed(
    django_capture_on_commit_callbacks: Callable[..., object],
) -> None:
    with patch("lifecycle.actions.work.waking.wake") as wake:
        with django_capture_on_commit_callbacks(execute=True):  # type: ignore[attr-defined]
            work = ask(kind=WorkKind.CHECK_RECORDS, key="k", by=None, at=AT)
            assert wake.call_count == 0
        wake.assert_called_once_with("lifecycle.jobs.sweep.do_work", str(work.uid))


def test_the_nightly_check_is_asked_for_once_a_night_in_the_museums_zone() -> None:
    make_museum()  # Europe/London: 03:00 is 02:00 UTC in June
    assert ask_for_nightly_check(at=AT.replace(hour=1, minute=59)) is None
    first = ask_for_nightly_check(at=AT.replace(hour=2))
    assert first is not None
    assert ask_for_nightly_check(at=AT.replace(hour=22)) == first


def test_a_second_check_is_refused_while_one_is_under_way() -> None:
    steward = make_person(Role.STEWARD)
    ask_for_check(by=steward, role=Role.STEWARD, at=AT)
    with pytest.raises(Refused, match="under way already"):
        ask_for_check(by=steward, role=Role.STEWARD, at=AT + timedelta(minutes=1))
