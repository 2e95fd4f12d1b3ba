"""The Celery app, and the worker's start with its schedule as a thread of the same process."""

import logging
import os
import threading
from datetime import timedelta
from typing import Any

from celery import Celery
from celery.beat import EmbeddedService
from celery.signals import worker_ready, worker_shutdown

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "lifecycle.settings")

logger = logging.getLogger(__name__)

WORKER_SEEN = "lifecycle.jobs.heartbeat.worker_seen"
# Wake-ups only: what is due is computed from rows at each of them.
TICKS = {
    "lifecycle.jobs.heartbeat.beat_seen": timedelta(seconds=20),
    "lifecycle.jobs.letters.write_due": timedelta(seconds=30),
    "lifecycle.jobs.sweep.sweep": timedelta(seconds=20),
    "lifecycle.jobs.watching.look_out": timedelta(minutes=5),
}

app = Celery("lifecycle")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.conf.update(
    imports=[
        "lifecycle.jobs.heartbeat",
        "lifecycle.jobs.letters",
        "lifecycle.jobs.sweep",
        "lifecycle.jobs.watching",
    ],
    task_ignore_result=True,
    task_serializer="json",
    accept_content=["json"],
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_publish_retry=False,
    worker_prefetch_multiplier=1,
    worker_hijack_root_logger=False,
    broker_connection_retry_on_startup=True,
    broker_connection_max_retries=None,
    timezone="UTC",
    beat_scheduler="celery.beat:Scheduler",
    beat_max_loop_interval=5,
    beat_schedule={
        task: {"task": task, "schedule": every, "options": {"expires": 60}}
        for task, every in TICKS.items()
    },
)

_ended = threading.Event()
_beat: list[Any] = []


@worker_ready.connect
def start_beat(**_: Any) -> None:
    """Start the schedule in this process: killed with it, started again with it."""
    _ended.clear()
    threading.Thread(target=_show_life, daemon=True, name="life").start()
    if os.environ.get("SHOWREST_BEAT") == "thread":
        # In memory: a schedule file would remember what the rows know better.
        service = EmbeddedService(app, thread=True, scheduler_cls="celery.beat:Scheduler")
        service.start()
        _beat.append(service)
        for task in TICKS:  # a machine that was off catches up now, not at the first tick
            app.send_task(task, expires=60)


@worker_shutdown.connect
def stop_beat(**_: Any) -> None:
    """Stop the schedule with the worker."""
    _ended.set()
    while _beat:
        _beat.pop().stop()


def _show_life() -> None:
    """Every 15 seconds by the worker's own clock, so that it shows with the broker away too."""
    while True:
        try:
            app.tasks[WORKER_SEEN].apply(throw=True)
        except Exception:
            logger.exception("The worker's sign of life could not be written.")
        if _ended.wait(15):
            return
