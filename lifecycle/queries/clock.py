"""In which zone a person reads the clock: their own, else the museum's, else UTC."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lifecycle.records.models import Museum, Person


def museum_zone() -> ZoneInfo:
    """The museum's zone, or UTC before there is a museum."""
    return zone_named(Museum.objects.values_list("zone", flat=True).first() or "UTC")


def zone_of(person: Person) -> ZoneInfo:
    """The person's own zone where they chose one, else the museum's."""
    return zone_named(person.zone) if person.zone else museum_zone()


def zone_named(name: str) -> ZoneInfo:
    """The zone of that name; UTC for a name nobody knows."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")


def on_the_clock(wall: datetime, zone: ZoneInfo) -> datetime:
    """The moment at which the zone's clock shows a day and time; a zone that is named is obeyed.

    Of an hour that comes twice the first pass is meant.

    :raises ValueError: the clock never showed this time, or its day lies beyond the calendar
    """
    if wall.tzinfo is not None:
        return wall
    moment = wall.replace(tzinfo=zone)
    # By way of UTC: from a zone to itself nothing is turned, and no missing hour would be found.
    try:
        shown = moment.astimezone(UTC).astimezone(zone).replace(tzinfo=None, fold=0)
    except OverflowError as beyond:
        raise ValueError("This day lies beyond the calendar.") from beyond
    if shown != wall.replace(fold=0):
        raise ValueError("The clock never showed this time on that day.")
    return moment
