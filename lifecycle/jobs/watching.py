"""The look-out for what becomes pressing by time alone."""

from celery import shared_task
from django.utils.timezone import now

from lifecycle.actions.work.watching import tell_what_time_brings


@shared_task(name="lifecycle.jobs.watching.look_out")
def look_out() -> None:
    """Tell at once of last days that have come and of objects nobody has found for a day."""
    tell_what_time_brings(at=now())
