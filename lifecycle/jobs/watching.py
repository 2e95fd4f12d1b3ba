"""The look-out for what becomes pressing by time alone."""

import logging

from celery import shared_task
from django.utils.timezone import now

from lifecycle.actions.work.watching import tell_last_days, tell_missing

logger = logging.getLogger(__name__)


@shared_task(name="lifecycle.jobs.watching.look_out")
def look_out() -> None:
    """Tell at once of last days that have come and of objects nobody has found for a day."""
    at = now()
    for tell in (tell_last_days, tell_missing):
        try:
            tell(at=at)
        except Exception:
            # An account that can't be computed must not keep a missing object quiet.
            logger.exception("The look-out %s went wrong; it is made again.", tell.__name__)
