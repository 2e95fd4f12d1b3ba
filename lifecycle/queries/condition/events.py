"""What happened to an object in a span: carried, shown, case opened, light, air, incidents, rounds.

With a face, looks at it and pictures of it are told too.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.db.models import Q

from lifecycle.process.words import LookVerdict
from lifecycle.queries.condition.at_places import Stay, at_its_places, stays_of
from lifecycle.queries.condition.happening import Happening, within
from lifecycle.records.models import (
    Face,
    IncidentObject,
    Look,
    MovementLine,
    MuseumObject,
    Picture,
    TreatmentStep,
)


def happenings(
    museum_object: MuseumObject,
    *,
    since: datetime | None,
    until: datetime,
    face: Face | None = None,
) -> list[Happening]:
    """Return what is on record between two moments, in time order; twelve queries at most.

    Without ``since`` (never seen unchanged) everything on record up to ``until``.
    """
    stays = stays_of(museum_object, since, until)
    found = [
        *_carried(museum_object, since, until),
        *_shown(stays, since, until),
        *_treated(museum_object, since, until),
        *_incidents(museum_object, since, until),
        *at_its_places(museum_object, stays),
    ]
    if face is not None:
        found += [*_rounds(museum_object, face, since, until), *_pictured(face, since, until)]
    return sorted(found, key=lambda happening: happening.at)


def _carried(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    lines = MovementLine.objects.filter(
        within("movement__arrived_at", since, until), museum_object=museum_object
    ).select_related("movement__from_place", "movement__to_place")
    for line in lines:
        move = line.movement
        if move.arrived_at is not None:
            what = f"carried from {move.from_place} to {move.to_place} ({move})"
            yield Happening(at=move.arrived_at, kind="movement", what=what)


def _shown(stays: Sequence[Stay], since: datetime | None, until: datetime) -> Iterator[Happening]:
    """When it was put on show and taken off itself: each is a handling and opens the case."""
    for stay in stays:
        period = stay.period
        pairs = ((period.opened_at, "put on show"), (period.closed_at, "taken off show"))
        for at, word in pairs:
            if at is not None and at <= until and (since is None or at > since):
                what = f"{word} in {period.place}: {period.face.label}"
                yield Happening(at=at, kind="display", what=what)


def _treated(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    steps = TreatmentStep.objects.filter(
        within("observed_at", since, until), museum_object=museum_object, corrected_by=None
    ).select_related("step")
    for step in steps:
        yield Happening(at=step.observed_at, kind="treatment", what=f"treatment: {step.step}")


def _incidents(
    museum_object: MuseumObject, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    lines = IncidentObject.objects.filter(
        within("incident__discovered_at", since, until), museum_object=museum_object
    ).select_related("incident__kind")
    for line in lines:
        incident = line.incident
        what = f"incident {incident}: {incident.kind}"
        yield Happening(at=incident.discovered_at, kind="incident", what=what)


def _rounds(
    museum_object: MuseumObject, face: Face, since: datetime | None, until: datetime
) -> Iterator[Happening]:
    """Looks at this face that raised a flag or did not come there; others are sightings."""
    looks = Look.objects.filter(
        within("looked_at", since, until), Q(face=face) | Q(face=None), museum_object=museum_object
    ).exclude(verdict=LookVerdict.AS_PICTURE)
    for look in looks.select_related("looked_by").order_by("looked_at", "pk"):
        said = look.get_verdict_display() if look.verdict else look.get_not_looked_display()
        note = look.note or look.not_reached_because
        what = f"round of {look.looked_by}: {said}{f' ({note})' if note and note != said else ''}"
        yield Happening(at=look.looked_at, kind="round", what=what)


def _pictured(face: Face, since: datetime | None, until: datetime) -> Iterator[Happening]:
    pictures = Picture.objects.filter(within("taken_at", since, until), face=face)
    for picture in pictures.order_by("taken_at", "pk"):
        if picture.taken_at is not None:
            what = f"pictured: {picture.get_purpose_display()}, {picture.name}"
            yield Happening(at=picture.taken_at, kind="picture", what=what)
