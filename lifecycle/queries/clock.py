"""In which zone a person reads the clock: their own, else the museum's, else UTC."""

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
