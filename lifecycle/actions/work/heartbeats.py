"""Signs of life that worker, schedule and mail leave behind for the health page."""

from datetime import datetime

from lifecycle.records.models.work import Heartbeat, LifeSign


def seen(*, part: LifeSign, host: str, at: datetime) -> None:
    """Note that a part of the machine was at work at this moment."""
    Heartbeat.objects.update_or_create(part=part, host=host[:120], defaults={"seen_at": at})
