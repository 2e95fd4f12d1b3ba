"""Pieces of work: asked for, claimed with a lease, done in chunks, stopped or taken up again."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, Q

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Refused
from lifecycle.actions.work.waking import DO_WORK, wake, wake_on_commit
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models.people import Person
from lifecycle.records.models.work import Work, WorkKind, WorkState

LEASE = timedelta(minutes=2)
# How long a waiting row may wait for its own message before the sweep sends another.
PATIENCE = timedelta(seconds=30)
MOST_ATTEMPTS = 5
OPEN = (WorkState.WAITING, WorkState.RUNNING)


@transaction.atomic
def ask(
    *,
    kind: WorkKind,
    key: str,
    by: Person | None,
    at: datetime,
    total: int = 0,
    inputs: Mapping[str, Any] | None = None,
) -> Work:
    """Write the row of a piece of work, once for its key, and wake a worker on commit.

    ``inputs`` is plain data that says what is asked for; the worker reads it and never changes it.
    """
    work, new = Work.objects.get_or_create(
        key=key,
        defaults={
            "kind": kind,
            "asked_by": by,
            "asked_at": at,
            "total": total,
            "inputs": dict(inputs or {}),
        },
    )
    if new:
        wake_on_commit(DO_WORK, str(work.uid))
    return work


def claim(*, uid: str, worker: str, at: datetime) -> Work | None:
    """Take a waiting row, or one whose lease has run out; None when somebody else has it."""
    free = Q(state=WorkState.WAITING) | Q(state=WorkState.RUNNING, lease_until__lt=at)
    taken = Work.objects.filter(free, uid=uid, stop_asked_at=None).update(
        state=WorkState.RUNNING, worker=worker, lease_until=at + LEASE, attempts=F("attempts") + 1
    )
    return Work.objects.get(uid=uid) if taken else None


def prepare(
    *, kind: WorkKind, key: str, by: Person, at: datetime, inputs: Mapping[str, Any]
) -> Work:
    """Write the row of a piece of work that its person is still putting together."""
    return Work.objects.create(
        kind=kind,
        key=key,
        state=WorkState.PREPARING,
        asked_by=by,
        asked_at=at,
        inputs=dict(inputs),
    )


@transaction.atomic
def start(*, work: Work, at: datetime) -> None:
    """Hand prepared work to the workers; its inputs stand from now on."""
    begun = Work.objects.filter(pk=work.pk, state=WorkState.PREPARING).update(
        state=WorkState.WAITING, asked_at=at
    )
    if not begun:
        raise Refused("This work was begun or put aside already.")
    wake_on_commit(DO_WORK, str(work.uid))


def progress(
    *,
    work: Work,
    done: int,
    doing: str,
    at: datetime,
    total: int,
    findings: Sequence[str] = (),
    results: Mapping[str, Any] | None = None,
) -> bool:
    """Note how far a chunk has come and renew the lease; False means: stop now.

    False when somebody asked to stop, or when the lease ran out and another worker has the row.
    """
    work.findings = [*work.findings, *findings]
    work.results = work.results if results is None else dict(results)
    held = Work.objects.filter(pk=work.pk, state=WorkState.RUNNING, worker=work.worker)
    kept = held.update(
        done=done,
        doing=doing[:200],
        total=total,
        lease_until=at + LEASE,
        findings=work.findings,
        results=work.results,
    )
    if not kept:
        return False
    if held.exclude(stop_asked_at=None).update(
        state=WorkState.STOPPED, ended_at=at, lease_until=None
    ):
        return False
    work.done, work.total = done, total
    return True


def finish(
    *, work: Work, at: datetime, doing: str, results: Mapping[str, Any] | None = None
) -> bool:
    """Mark the row done, with what came of it; False when another worker has taken it meanwhile."""
    held = Work.objects.filter(pk=work.pk, state=WorkState.RUNNING, worker=work.worker)
    return bool(
        held.update(
            state=WorkState.DONE,
            ended_at=at,
            lease_until=None,
            doing=doing[:200],
            results=work.results if results is None else dict(results),
        )
    )


def give_back(*, work: Work, at: datetime, trouble: str) -> None:
    """Put a row back that went wrong; after the last attempt it stands as failed, in words."""
    state = WorkState.FAILED if work.attempts >= MOST_ATTEMPTS else WorkState.WAITING
    Work.objects.filter(pk=work.pk, state=WorkState.RUNNING, worker=work.worker).update(
        state=state,
        doing=trouble[:200],
        lease_until=None,
        ended_at=at if state == WorkState.FAILED else None,
    )


@transaction.atomic
def stop(*, uid: str, by: Person, role: Role, at: datetime) -> Work:
    """Ask a piece of work to stop; it does so after its present chunk.

    The steward stops any work, everybody else what they asked for themselves.
    """
    work = Work.objects.select_for_update().get(uid=uid)
    if work.asked_by_id != by.pk:
        allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    if work.state not in OPEN:
        raise Refused(f"This work is already {WorkState(work.state).label}; it can't be stopped.")
    if work.stop_asked_at:
        raise Refused("This work has been asked to stop already.")
    work.stop_asked_by, work.stop_asked_at = by, at
    if work.state == WorkState.WAITING:
        work.state, work.ended_at = WorkState.STOPPED, at
    work.save(update_fields=["stop_asked_by", "stop_asked_at", "state", "ended_at"])
    return work


def sweep(*, at: datetime) -> int:
    """Wake what waited too long, and end what was asked to stop while nobody had it."""
    abandoned = Q(state=WorkState.RUNNING, lease_until__lt=at)
    Work.objects.filter(abandoned).exclude(stop_asked_at=None).update(
        state=WorkState.STOPPED, ended_at=at, lease_until=None
    )
    Work.objects.filter(abandoned, attempts__gte=MOST_ATTEMPTS).update(
        state=WorkState.FAILED,
        ended_at=at,
        lease_until=None,
        doing=f"Given up: the worker died {MOST_ATTEMPTS} times over this.",
    )
    waiting = Q(state=WorkState.WAITING, asked_at__lt=at - PATIENCE)
    uids = Work.objects.filter(waiting | abandoned).order_by("asked_at", "pk")
    return sum(wake(DO_WORK, str(uid)) for uid in uids.values_list("uid", flat=True)[:200])
