"""Signs of life of the worker and of the schedule."""

import socket

from celery import shared_task
from django.db import close_old_connections
from django.utils.timezone import now

from lifecycle.actions.work import heartbeats
from lifecycle.records.models.work import LifeSign


@shared_task(name="lifecycle.jobs.heartbeat.beat_seen")
def beat_seen() -> None:
    """The schedule sent this and a worker got it: both are alive, and the broker between them."""
    heartbeats.seen(part=LifeSign.BEAT, host=socket.gethostname(), at=now())


@shared_task(name="lifecycle.jobs.heartbeat.worker_seen")
def worker_seen() -> None:
    """Run by the worker itself on its own clock, so that it shows even with the broker away."""
    close_old_connections()
    heartbeats.seen(part=LifeSign.WORKER, host=socket.gethostname(), at=now())
