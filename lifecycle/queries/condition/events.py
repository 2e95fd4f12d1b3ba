"""What happened to an object in a span: carried, case opened, light changed, air, incidents."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from lifecycle.records.models import (
    ClimateReading,
    DisplayPeriod,
    IncidentObject,
    LightEvent,
    MovementLine,
    MuseumObject,
    TreatmentStep,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """One thing on record. ``kind`` groups them; ``what`` says it in words."""

    at: datetime
    kind: str
    what: str


@dataclass(frozen=True, slots=True)
class Stay:
    """Where the object stood while it was shown."""

    place_ids: frozenset[int]
    since: datetime
    until: datetime


def happenings(
    museum_object: MuseumObject, *, since: datetime | None, until: datetime
) -> list[Happening]:
    """Return what is on record between two moments, in time order; nine queries at most.

    Without ``since`` (never seen unchanged) everything on record up to ``until``.
    """
    stays = list(_stays(museum_object, since, until))
    found = [
        *_carried(museum_object, since, until),
        *_treated(museum_object, since, until),
        *_incidents(museum_object, since, until),
        *_at_its_places(museum_object, stays),
    ]
    return sorted(found, key=lambda happening: happening.at)


def _within(field: str, since: datetime | None, until: datetime) -> Q:
    span = Q(**{f"{field}__lte": until})
    return span & Q(**{f"{field}__gt": since}) if since is not None else span


def _stays(museum_object: MuseumObject, since: datetime | None, until: datetime) -> Iterator[Stay]:
    """Position and case of each display period that touches the span."""
    periods = DisplayPeriod.objects.filter(
        museum_object=museum_object, struck_at=None, opened_at__lte=until
    ).select_related("place")
    if since is not None:
        periods = periods.filter(Q(closed_at=None) | Q(closed_at__gt=since))
    for period in periods.order_by("opened_at", "pk"):
        above = period.place.parent_id
        yield Stay(
            frozenset({period.place_id} | ({above} if above else set())),
            max(period.opened_at, since) if since else period.opened_at,
            min(period.closed_at, until) if period.closed_at else until,
        )


def _carried(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    lines = MovementLine.objects.filter(
        _within("movement__arrived_at", since, until), museum_object=museum_object
    ).select_related("movement__from_place", "movement__to_place")
    for line in lines:
        move = line.movement
        if move.arrived_at is not None:
            what = f"carried from {move.from_place} to {move.to_place} ({move})"
            yield Happening(at=move.arrived_at, kind="movement", what=what)


def _treated(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    steps = TreatmentStep.objects.filter(
        _within("observed_at", since, until), museum_object=museum_object
    ).select_related("step")
    for step in steps:
        yield Happening(at=step.observed_at, kind="treatment", what=f"treatment: {step.step}")


def _incidents(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    lines = IncidentObject.objects.filter(
        _within("incident__discovered_at", since, until), museum_object=museum_object
    ).select_related("incident__kind")
    for line in lines:
        incident = line.incident
        what = f"incident {incident}: {incident.kind}"
        yield Happening(at=incident.discovered_at, kind="incident", what=what)


def _at_its_places(museum_object: MuseumObject, stays: list[Stay]) -> Iterator[Happening]:
    """Light events, air, and openings of the case while the object stood there."""
    places = {place_id for stay in stays for place_id in stay.place_ids}
    if not places:
        return

    def there(place_id: int | None, at: datetime) -> bool:
        return any(place_id in stay.place_ids and stay.since < at <= stay.until for stay in stays)

    for event in LightEvent.objects.filter(place__in=places).order_by("until_at", "pk"):
        if there(event.place_id, event.until_at):
            what = f"light: {event.get_what_display()}{_note(event.note)}"
            yield Happening(at=event.until_at, kind="light", what=what)
    yield from _air(places, there)
    others = (
        DisplayPeriod.objects.filter(struck_at=None)
        .filter(Q(place__in=places) | Q(place__parent__in=places))
        .exclude(museum_object=museum_object)
        .select_related("museum_object", "place")
    )
    for other in others.order_by("opened_at", "pk"):
        case = other.place.parent_id or other.place_id
        for at, word in ((other.opened_at, "installed"), (other.closed_at, "taken out")):
            if at is not None and there(case, at):
                what = f"case opened: {other.museum_object} {word}"
                yield Happening(at=at, kind="case", what=what)


def _air(places: set[int], there: Any) -> Iterator[Happening]:
    """The lowest and the highest humidity read while the object stood there."""
    readings = [
        reading
        for reading in ClimateReading.objects.filter(place__in=places).order_by("read_at", "pk")
        if there(reading.place_id, reading.read_at)
    ]
    if not readings:
        return
    lowest = min(readings, key=lambda reading: reading.rh)
    highest = max(readings, key=lambda reading: reading.rh)
    what = f"lowest humidity read: {lowest.rh.normalize():f} % RH, {lowest.t_c.normalize():f} °C"
    yield Happening(at=lowest.read_at, kind="air", what=what)
    if highest.pk != lowest.pk:
        what = (
            f"highest humidity read: {highest.rh.normalize():f} % RH, "
            f"{highest.t_c.normalize():f} °C"
        )
        yield Happening(at=highest.read_at, kind="air", what=what)


def _note(note: str) -> str:
    return f" ({note})" if note else ""
