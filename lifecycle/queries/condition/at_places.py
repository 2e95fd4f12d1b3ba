"""What happened where an object stood while it was shown: light, air, openings of its case."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from lifecycle.queries.condition.happening import Happening, within
from lifecycle.records.models import (
    Assessment,
    CaseOpening,
    ClimateReading,
    DisplayPeriod,
    Incident,
    LightEvent,
    MuseumObject,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """Where the object stood while it was shown, in its position and the case around it."""

    period: DisplayPeriod
    place_ids: frozenset[int]
    since: datetime
    until: datetime


def stays_of(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> tuple[Stay, ...]:
    """Each display period that touches the span, cut to it; one query."""
    periods = DisplayPeriod.objects.filter(
        museum_object=museum_object, struck_at=None, opened_at__lte=until
    ).select_related("place", "face")
    if since is not None:
        periods = periods.filter(Q(closed_at=None) | Q(closed_at__gt=since))
    found = []
    for period in periods.order_by("opened_at", "pk"):
        above = period.place.parent_id
        found.append(
            Stay(
                period=period,
                place_ids=frozenset({period.place_id} | ({above} if above else set())),
                since=max(period.opened_at, since) if since else period.opened_at,
                until=min(period.closed_at, until) if period.closed_at else until,
            )
        )
    return tuple(found)


def at_its_places(museum_object: MuseumObject, stays: Sequence[Stay]) -> Iterator[Happening]:
    """Light events, incidents, air, and openings of the case while the object stood there."""
    places = {place_id for stay in stays for place_id in stay.place_ids}
    if not places:
        return
    since, until = min(stay.since for stay in stays), max(stay.until for stay in stays)

    def at_these(moment: str) -> Q:
        return within(moment, since, until) & Q(place__in=places)

    def there(place_id: int | None, at: datetime) -> bool:
        return any(place_id in stay.place_ids and stay.since < at <= stay.until for stay in stays)

    for event in LightEvent.objects.filter(at_these("until_at")).order_by("until_at", "pk"):
        if there(event.place_id, event.until_at):
            note = f" ({event.note})" if event.note else ""
            what = f"light: {event.get_what_display()}{note}"
            yield Happening(at=event.until_at, kind="light", what=what)
    incidents = Incident.objects.filter(at_these("discovered_at")).exclude(
        lines__museum_object=museum_object
    )
    for incident in incidents.select_related("kind").order_by("discovered_at", "pk"):
        if there(incident.place_id, incident.discovered_at):
            what = f"incident {incident} at its place: {incident.kind}"
            yield Happening(at=incident.discovered_at, kind="incident", what=what)
    openings = CaseOpening.objects.filter(at_these("opened_at"))
    for opening in openings.order_by("opened_at", "pk"):
        if there(opening.place_id, opening.opened_at):
            note = f", {opening.note}" if opening.note else ""
            what = f"case opened: {opening.get_why_display()}{note}"
            yield Happening(at=opening.opened_at, kind="case", what=what)
    readings = ClimateReading.objects.filter(at_these("read_at")).order_by("read_at", "pk")
    yield from _air([row for row in readings if there(row.place_id, row.read_at)], stays)
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


def _air(readings: Sequence[ClimateReading], stays: Sequence[Stay]) -> Iterator[Happening]:
    """The driest and the dampest reading, and each run of readings outside the object's band."""
    if not readings:
        return
    lowest = min(readings, key=lambda reading: reading.rh)
    highest = max(readings, key=lambda reading: reading.rh)
    yield _extreme("lowest", lowest)
    if highest.pk != lowest.pk:
        yield _extreme("highest", highest)
    band = _band(stays)
    if band is None:
        return
    low, high = band
    run: list[ClimateReading] = []
    for reading in (*readings, None):
        if reading is not None and not low <= reading.rh <= high:
            run.append(reading)
        elif run:
            yield _excursion(run, low, high)
            run = []


def _extreme(word: str, reading: ClimateReading) -> Happening:
    what = f"{word} humidity read: {reading.rh.normalize():f} % RH, {reading.t_c.normalize():f} °C"
    return Happening(at=reading.read_at, kind="air", what=what)


def _band(stays: Sequence[Stay]) -> tuple[Decimal, Decimal] | None:
    """The humidity that the last signed assessment of these showings allows; one query."""
    showings = {stay.period.showing_id for stay in stays}
    signed = Assessment.objects.filter(
        showing__in=showings, rh_min__isnull=False, rh_max__isnull=False
    ).exclude(digest="")
    row = signed.order_by("-signed_at", "-pk").values_list("rh_min", "rh_max").first()
    if row is None or row[0] is None or row[1] is None:
        return None
    return row[0], row[1]


def _excursion(run: Sequence[ClimateReading], low: Decimal, high: Decimal) -> Happening:
    """One run of readings outside the band, told at its furthest reading."""
    worst = max(run, key=lambda reading: max(low - reading.rh, reading.rh - high))
    count = "one reading" if len(run) == 1 else f"{len(run)} readings"
    what = (
        f"air outside {low.normalize():f} to {high.normalize():f} % RH: "
        f"{worst.rh.normalize():f} % RH at the furthest, {count}"
    )
    return Happening(at=worst.read_at, kind="air", what=what)
