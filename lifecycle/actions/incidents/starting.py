"""Start an incident: what was found, when, on which objects. Nothing is tidied before a picture."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.incidents.telling import tell_of_incident
from lifecycle.actions.moves import place_hold
from lifecycle.actions.numbering import next_number
from lifecycle.actions.pictures import store_picture
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.words import Certainty, HoldKind
from lifecycle.queries.rights import about_object, about_place
from lifecycle.records.models import (
    Face,
    Incident,
    IncidentObject,
    MuseumObject,
    Person,
    Place,
    Showing,
    Word,
)
from lifecycle.records.models.pictures import PicturePurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """What was found. ``discovered_at`` is when it was seen, not when it was typed."""

    kind: Word
    discovered_at: datetime
    circumstances: str
    objects: Sequence[MuseumObject] = ()
    faces: Sequence[Face] = ()
    place: Place | None = None
    act_now: bool = False
    happened_from: datetime | None = None
    happened_to: datetime | None = None
    certainty: Certainty = Certainty.NOT_KNOWN
    photo: bytes | None = None
    photo_name: str = ""
    hold: bool = True


def _faults(said: Happening, at: datetime) -> Iterator[Reason]:
    if not said.circumstances.strip():
        text = "Say what you saw, as fully as you can; leave out who may be to blame."
        yield Reason(text, "circumstances", "incident.words")
    if not said.objects and said.place is None:
        text = "Name the object or the place."
        yield Reason(text, "objects", "incident.about")
    if said.discovered_at > at:
        text = "This moment lies in the future."
        yield Reason(text, "discovered_at", "incident.future")
    known = {thing.pk for thing in said.objects}
    for face in said.faces:
        if face.museum_object_id not in known:
            text = f"{face.label} is no face of the objects named."
            yield Reason(text, "objects", "incident.face")
    if said.happened_from is not None and said.happened_from > said.discovered_at:
        text = "It can't have happened after it was found."
        yield Reason(text, "happened_from", "incident.span")
    if (
        said.happened_from is not None
        and said.happened_to is not None
        and said.happened_to < said.happened_from
    ):
        text = "The later end of the span lies before the earlier one."
        yield Reason(text, "happened_to", "incident.span")


@transaction.atomic
def start_incident(
    *, by: Person, role: Role, at: datetime, said: Happening, reporter: Person | None = None
) -> Incident:
    """Start an incident record; open to everybody who works here.

    'Act now' is told to the conservators, an object that is missing to the registrars, at once.
    Every object named is held until a conservator decides in writing, unless ``hold`` is False.

    :raises Refused: no words, nothing named, moments that can't be
    """
    abouts = [about_object(thing) for thing in said.objects]
    if said.place is not None:
        abouts.append(about_place(said.place))
    for about in abouts:
        allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at, about=about)
    if reasons := list(_faults(said, at)):
        raise Refused(reasons)
    faces = {face.museum_object_id: face for face in said.faces}
    picture = None
    if said.photo is not None:
        picture = store_picture(
            data=said.photo,
            name=said.photo_name,
            purpose=PicturePurpose.AS_FOUND,
            museum_object=said.objects[0] if said.objects else None,
            taken_at=said.discovered_at,
            by=by,
            role=role,
            at=at,
            field="photo",
        )
    row = Incident(
        incident_no=next_number("IN"),
        kind=said.kind,
        discovered_at=said.discovered_at,
        reported_at=at,
        reporter=reporter or by,
        reporter_role=role.value,
        happened_from=said.happened_from,
        happened_to=said.happened_to,
        certainty=said.certainty.value,
        place=said.place,
        act_now=said.act_now,
        circumstances=said.circumstances.strip(),
        picture=picture,
    ).keep(by=by, role=role, why="incident reported", at=at)
    for thing in said.objects:
        showing = _showing_under_way(thing)
        IncidentObject(
            incident=row, museum_object=thing, face=faces.get(thing.pk), showing=showing
        ).keep(by=by, role=role, why="incident reported", at=at)
        if said.hold:
            place_hold(
                object_id=thing.pk,
                kind=HoldKind.INCIDENT,
                reason=f"Incident {row.incident_no}: {said.kind.label}",
                by=by,
                role=role,
                at=at,
                showing=showing,
            )
    tell_of_incident(row, said.objects, at)
    return row


def _showing_under_way(thing: MuseumObject) -> Showing | None:
    return (
        Showing.objects.filter(museum_object=thing)
        .exclude(stage__in=sorted({*CLOSED, Stage.SELECTION}))
        .order_by("-pk")
        .first()
    )
