"""Wake a worker. A wake-up may be lost: the row is the truth and the sweep finds it."""

import logging

from celery import Celery
from django.conf import settings
from django.db import transaction
from kombu.exceptions import OperationalError

logger = logging.getLogger(__name__)

DO_WORK = "lifecycle.jobs.sweep.do_work"
SEND_LETTER = "lifecycle.jobs.letters.send_letter"
SEND_MESSAGE = "lifecycle.jobs.letters.send_message"

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
    """Send one row's key now; return False when the broker does not answer."""
    try:
        _PUBLISHER.send_task(task, args=[uid], retry=False, ignore_result=True)
    except (OperationalError, OSError) as trouble:
        logger.warning("The broker does not answer (%s); the sweep will wake %s.", trouble, uid)
        return False
    return True
