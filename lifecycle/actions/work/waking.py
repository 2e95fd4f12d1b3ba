"""Wake a worker. A wake-up may be lost: the row is the truth and the sweep finds it."""

import logging
import time
from typing import Final

import redis
from celery import Celery
from django.conf import settings
from django.db import transaction
from kombu.exceptions import OperationalError

logger = logging.getLogger(__name__)

DO_WORK = "lifecycle.jobs.sweep.do_work"
SEND_LETTER = "lifecycle.jobs.letters.send_letter"
SEND_MESSAGE = "lifecycle.jobs.letters.send_message"

ANSWER_WITHIN_S: Final = 1.0
# After a broker did not answer, how long nobody else waits for it.
ASK_AGAIN_AFTER_S: Final = 5.0
_silent_until: list[float] = [0.0]

# An app of its own that only publishes: the wiring above is not imported from here.
_PUBLISHER = Celery("showrest-wakes", set_as_current=False)
_PUBLISHER.conf.update(
    broker_url=settings.CELERY_BROKER_URL,
    broker_transport_options=settings.CELERY_BROKER_TRANSPORT_OPTIONS,
    broker_connection_timeout=1,
    task_publish_retry=False,
    task_ignore_result=True,
    task_serializer="json",
)


def wake_on_commit(task: str, uid: str) -> None:
    """Send one row's key to the workers once the transaction that wrote it is committed."""
    transaction.on_commit(lambda: wake(task, uid), robust=True)


def wake(task: str, uid: str) -> bool:
    """Send one row's key now; return False when the broker does not answer within a second."""
    try:
        if not _answers():
            logger.warning("The broker does not answer; the sweep will wake %s.", uid)
            return False
        _PUBLISHER.send_task(task, args=[uid], retry=False, ignore_result=True)
    except (OperationalError, OSError) as trouble:
        logger.warning("The broker does not answer (%s); the sweep will wake %s.", trouble, uid)
        return False
    return True


def _answers() -> bool:
    """Ask the broker itself: the client libraries would retry for seconds, a person waiting."""
    url = settings.CELERY_BROKER_URL
    if url.startswith("filesystem"):
        return True
    if time.monotonic() < _silent_until[0]:
        return False
    client = redis.Redis.from_url(
        url.replace("redis+socket://", "unix://", 1),
        socket_timeout=ANSWER_WITHIN_S,
        socket_connect_timeout=ANSWER_WITHIN_S,
        retry=None,
    )
    try:
        client.ping()
    except (redis.RedisError, OSError):
        _silent_until[0] = time.monotonic() + ASK_AGAIN_AFTER_S
        return False
    finally:
        client.close()
    return True
