"""Light measured with a dummy before the object enters, and whether it still counts."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from lifecycle.process.days import day_words
from lifecycle.process.facts.preparation import LightProof
from lifecycle.process.minutes import before
from lifecycle.process.words import PlaceKind
from lifecycle.queries.treatment.consenting import Clock
from lifecycle.records.models import preparation as made
from lifecycle.records.models.light import ChangeOfLight, LightEvent
from lifecycle.records.models.places import Place, ReadingPoint
from lifecycle.records.models.showings import Showing

#: Places all of whose reading points bear on what lies there; those of a room do not.
OF_THE_CASE = frozenset({PlaceKind.POSITION.value, PlaceKind.CASE.value})


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The proof of one showing while it counts, or in words why it does not."""

    proof: LightProof | None = None
    missing: str = ""
    """Points at which it was not measured, though at others it was."""

    changed: str = ""
    """What changed the light after it was measured."""


def measured_with_a_dummy(
    showings: Sequence[Showing], chains: Mapping[int, Sequence[Place]], clock: Clock
) -> dict[int, Measured]:
    """Return the light proof per showing; the brightest of all points speaks for the place.

    A reading counts for one state of the lamps: any later change there voids it. Three queries.

    :param chains: per showing, its position and the places around it, nearest first
    """
    exhibitions = {showing.exhibition_id for showing in showings}
    latest: dict[tuple[int, int], dict[int | None, made.LightProof]] = defaultdict(dict)
    rows = made.LightProof.objects.filter(exhibition__in=exhibitions, with_dummy=True)
    for row in rows.order_by("observed_at", "pk"):
        latest[(row.exhibition_id, row.place_id)][row.point_id] = row
    seen = [row.observed_at for by_point in latest.values() for row in by_point.values()]
    places = {place.pk for chain in chains.values() for place in chain} if seen else set()
    moved = _last_events(places, min(seen, default=clock.moment), clock)
    points = _points(places)
    found = {}
    for showing in showings:
        chain = chains[showing.pk]
        near = (latest.get((showing.exhibition_id, place.pk)) for place in chain)
        by_point = next((lines for lines in near if lines), {})
        wanted = next((points[place.pk] for place in chain if place.pk in points), [])
        changes = [moved[place.pk] for place in chain if place.pk in moved]
        last = max(changes, key=lambda event: event.until_at, default=None)
        found[showing.pk] = _measured(by_point, wanted, last, clock)
    return found


def _measured(
    by_point: Mapping[int | None, made.LightProof],
    wanted: Sequence[ReadingPoint],
    last: LightEvent | None,
    clock: Clock,
) -> Measured:
    rows = list(by_point.values())
    if not rows:
        return Measured()
    if last is not None and any(before(row.observed_at, last.until_at) for row in rows):
        return Measured(changed=_change_words(last, clock))
    missing = [point for point in wanted if point.pk not in by_point]
    plain = by_point.get(None)
    if len(wanted) == 1 and plain is not None and plain.place_id == wanted[0].place_id:
        missing = []  # Of a place with one point, a reading there is a reading at the point.
    if missing:
        *first, last_letter = (point.letter for point in missing)
        letters = (
            f"points {', '.join(first)} and {last_letter}" if first else f"point {last_letter}"
        )
        return Measured(missing=f"{letters} of {missing[0].place.name}")
    uv = [row.uv for row in rows if row.uv is not None]
    return Measured(
        proof=LightProof(
            lux=max(row.lux for row in rows),
            uv=max(uv) if len(uv) == len(rows) else None,
            on=min(clock.day(row.observed_at) for row in rows),
        )
    )


def _last_events(places: set[int], since: datetime, clock: Clock) -> dict[int, LightEvent]:
    """The last event at each place, of those since a moment."""
    events = LightEvent.objects.filter(
        place__in=places, until_at__lte=clock.moment, until_at__gte=since
    )
    found: dict[int, LightEvent] = {}
    for event in events.select_related("place", "reported_by").order_by("until_at", "pk"):
        found[event.place_id] = event
    return found


def _points(places: set[int]) -> dict[int, list[ReadingPoint]]:
    rows = ReadingPoint.objects.filter(
        place__in=places, place__kind__in=OF_THE_CASE, retired_on=None
    )
    found: dict[int, list[ReadingPoint]] = defaultdict(list)
    for row in rows.select_related("place").order_by("letter", "pk"):
        found[row.place_id].append(row)
    return found


def _change_words(event: LightEvent, clock: Clock) -> str:
    """What changed, where, on which day, and who said so."""
    what = ChangeOfLight(event.what).label
    note = f" ({event.note})" if event.note else ""
    day = day_words(clock.day(event.until_at))
    return f"{what}{note} at {event.place.name} on {day}, reported by {event.reported_by.full_name}"
