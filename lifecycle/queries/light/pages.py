"""Light as the pages of a showing, an object, a place and the light page read it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from lifecycle.process.minutes import before
from lifecycle.process.rights import PersonFacts
from lifecycle.queries.light.accounts import FaceAccount, LuxHours, accounts_of
from lifecycle.queries.light.ceilings import CaseWithIt, case_with
from lifecycle.queries.light.checks import FaceCheck, LightCheck, light_check
from lifecycle.queries.light.places import valid_readings
from lifecycle.queries.light.walking import OwnCase
from lifecycle.queries.light.watching import (
    CaseCeiling,
    LookLine,
    ObjectDue,
    look_line,
    looks_of,
    strictest_in,
    walk,
)
from lifecycle.queries.rights import may_see_showings, place_chain, places_below
from lifecycle.records.models import (
    ClimateReading,
    DisplayPeriod,
    Face,
    LightEvent,
    LightReading,
    Look,
    MuseumObject,
    Place,
    Showing,
)

RECENT = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class LightOnShowing:
    """The light part of a showing's page."""

    check: LightCheck
    readings: Sequence[LightReading]
    looks: Sequence[LookLine]
    is_up: bool
    case: CaseWithIt | None = None

    @property
    def faces(self) -> tuple[FaceCheck, ...]:
        return self.check.faces


def on_showing(showing: Showing, at: datetime) -> LightOnShowing:
    """Return what stands under 'Light' on a showing's page, in a fixed number of queries."""
    readings = (
        LightReading.objects.filter(showing=showing)
        .select_related("place", "point", "instrument", "read_by", "corrected_by")
        .order_by("-read_at", "-pk")
    )
    is_up = DisplayPeriod.objects.filter(showing=showing, closed_at=None, struck_at=None).exists()
    return LightOnShowing(
        check=light_check(showing, at),
        readings=list(readings[:RECENT]),
        looks=looks_of(showing),
        is_up=is_up,
        case=None if showing.place is None else case_with(showing, showing.place, at),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LightOnObject:
    """The light part of an object's page; the worst face is the object's figure."""

    accounts: Sequence[FaceAccount]
    passes_through: bool

    @property
    def worst(self) -> FaceAccount | None:
        known = [account for account in self.accounts if account.left is not None]
        return min(known, key=lambda row: row.left.likely if row.left else 0, default=None)


def on_object(museum_object: MuseumObject, at: datetime) -> LightOnObject:
    """Return the accounts of an object's faces, in a fixed number of queries."""
    faces = list(Face.objects.filter(museum_object=museum_object).order_by("order", "pk"))
    accounts = accounts_of(faces, at)
    return LightOnObject(
        accounts=[accounts[face.pk] for face in faces],
        passes_through=museum_object.light_passes_through,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceNow:
    """A face that is up, with what its account says."""

    period: DisplayPeriod
    account: FaceAccount

    @property
    def left(self) -> LuxHours | None:
        return self.account.left


def accounts_now(facts: PersonFacts, at: datetime) -> list[FaceNow]:
    """Return the account of every face on display that the person may see, least left first."""
    showings = may_see_showings(facts, Showing.objects.all())
    periods = list(
        DisplayPeriod.objects.filter(closed_at=None, struck_at=None, showing__in=showings)
        .select_related("face", "museum_object", "showing", "place")
        .order_by("museum_object__object_number", "pk")
    )
    accounts = accounts_of([period.face for period in periods], at)
    rows = [FaceNow(period=row, account=accounts[row.face_id]) for row in periods]
    return sorted(rows, key=lambda row: -1 if row.left is None else row.left.likely)


def looks_on_record(cases: Sequence[OwnCase]) -> list[tuple[ObjectDue, Look]]:
    """Return the flags that wait for an answer along a walk, with their object."""
    return [(one, look) for case in cases for one in case.objects for look in one.flags]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightAtPlace:
    """Everything read and seen at a place and inside it, newest first."""

    readings: Sequence[LightReading]
    events: Sequence[LightEvent]
    climate: Sequence[ClimateReading]
    ceiling: CaseCeiling
    objects: Sequence[ObjectDue]
    looks: Sequence[LookLine]

    @property
    def voided_by(self) -> LightEvent | None:
        """The latest event, while no reading was taken after it."""
        last = max(self.events, key=lambda row: row.until_at, default=None)
        if last is None or any(
            not before(row.read_at, last.until_at) for row in self.readings if row.counts
        ):
            return None
        return last


def _inside(place: Place) -> QuerySet[Place]:
    near = Place.objects.filter(pk=place.pk) | Place.objects.filter(parent=place)
    return near | Place.objects.filter(parent__parent=place)


def readings_at(place: Place, at: datetime) -> QuerySet[LightReading]:
    """Return every reading at a place and inside it, newest first, corrected ones too."""
    return (
        LightReading.objects.filter(place__in=_inside(place), entered_at__lte=at)
        .select_related("place", "point", "instrument", "read_by", "corrected_by")
        .order_by("-read_at", "-pk")
    )


def at_place(place: Place, at: datetime) -> LightAtPlace:
    """Return what the gallery page of a place shows, in a bounded number of queries."""
    inside = _inside(place)
    above = place_chain(place)
    readings = readings_at(place, at)
    events = LightEvent.objects.filter(place__in=inside) | LightEvent.objects.filter(
        place__in=above
    )
    climate = ClimateReading.objects.filter(place__in=inside).select_related("place", "read_by")
    looks = Look.objects.filter(place__in=inside).select_related("looked_by", "face", "place")
    looks = looks.prefetch_related("answers__answered_by").order_by("-looked_at", "-pk")
    cases = walk(at, inside=places_below([place.pk]))
    return LightAtPlace(
        readings=list(readings[:RECENT]),
        events=list(
            events.distinct()
            .select_related("place", "reported_by")
            .order_by("-from_at", "-pk")[:RECENT]
        ),
        climate=list(climate.order_by("-read_at", "-pk")[:RECENT]),
        ceiling=strictest_in(cases),
        objects=[one for case in cases for one in case.objects],
        looks=[look_line(row) for row in looks[:RECENT]],
    )


def last_read_at(place: Place, at: datetime) -> datetime | None:
    """Return when light was last read at a place or the one it lies in."""
    near = [place.pk] if place.parent_id is None else [place.pk, place.parent_id]
    found: datetime | None = (
        valid_readings(at)
        .filter(place__in=near)
        .order_by("-read_at")
        .values_list("read_at", flat=True)
        .first()
    )
    return found
