"""The Celery app, and the worker's start with its schedule as a thread of the same process."""

import os
from datetime import timedelta
from typing import Any

from celery import Celery
from celery.beat import EmbeddedService
from celery.signals import worker_ready, worker_shutdown

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "lifecycle.settings")

app = Celery("lifecycle")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.update(
    task_ignore_result=True,
    task_serializer="json",
    accept_content=["json"],
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_publish_retry=False,
    worker_prefetch_multiplier=1,
    worker_hijack_root_logger=False,
    worker_pool="threads",
    worker_concurrency=2,
    broker_connection_retry_on_startup=True,
    broker_connection_max_retries=None,
    timezone="UTC",
    enable_utc=True,
    # Wake-ups only: what is due is computed from rows at each of them.
    beat_schedule={
        "heartbeat": {
            "task": "lifecycle.jobs.heartbeat.beat_seen",
            "schedule": timedelta(seconds=20),
            "options": {"expires": 60},
        },
        "letters": {
            "task": "lifecycle.jobs.letters.write_due",
            "schedule": timedelta(seconds=30),
            "options": {"expires": 60},
        },
        "sweep": {
            "task": "lifecycle.jobs.sweep.sweep",
            "schedule": timedelta(seconds=20),
            "options": {"expires": 60},
        },
    },
)
app.autodiscover_tasks(["lifecycle.jobs"], related_name=None)

_beat: list[Any] = []


@worker_ready.connect
def start_beat(**_: Any) -> None:
    """Start the schedule in this process: killed with it, started again with it."""
    if os.environ.get("SHOWREST_BEAT") == "thread":
        service = EmbeddedService(app, thread=True)
        service.daemon = True
        service.start()
        _beat.append(service)


@worker_shutdown.connect
def stop_beat(**_: Any) -> None:
    """Stop the schedule with the worker."""
    while _beat:
        _beat.pop().stop()
