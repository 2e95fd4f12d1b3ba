"""Which backups are kept: the last of each day, week and month, as many of each as are asked for.

Pure: moments in, moments out.
"""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Kept:
    """How many days, weeks and months with a backup keep their last one."""

    daily: int
    weekly: int
    monthly: int


def to_keep(moments: Iterable[datetime], *, kept: Kept, zone: ZoneInfo) -> set[datetime]:
    """Return the moments whose backups stay; days, weeks (ISO 8601) and months of the zone.

    A span without a backup counts for nothing: after a year switched off the last twelve months
    that have one still have it. The newest backup always stays.
    """
    newest_first = sorted(moments, reverse=True)
    spans: list[tuple[int, Callable[[datetime], Hashable]]] = [
        (max(kept.daily, 1), lambda here: here.date()),
        (kept.weekly, lambda here: here.isocalendar()[:2]),
        (kept.monthly, lambda here: (here.year, here.month)),
    ]
    staying: set[datetime] = set()
    for most, span in spans:
        last_of: dict[Hashable, datetime] = {}
        for moment in newest_first:
            last_of.setdefault(span(moment.astimezone(zone)), moment)
        staying |= set(list(last_of.values())[:most])
    return staying
