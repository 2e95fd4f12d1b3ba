"""From a planned turn or swap: two faces, who, with what, in which order, when to stop."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    day,
    exhibition_number,
    face_words,
    house,
    place_path,
)
from lifecycle.papers.filling.features import face_page, last_looks
from lifecycle.papers.filling.light import light_now
from lifecycle.papers.words.parts import BlockO, FacePage, SignatureWords
from lifecycle.papers.words.turn_instruction import TurnInstructionWords
from lifecycle.planning.counting import counted
from lifecycle.process.cautions import CautionFor
from lifecycle.queries.condition.known import known_features, next_feature_number
from lifecycle.queries.display.companions import companions_on_show
from lifecycle.queries.display.supports import mount_of, mount_words
from lifecycle.queries.preparation.mounts import fixing_lines
from lifecycle.records.models import (
    Appointment,
    Caption,
    DisplayPeriod,
    Face,
    Facsimile,
    MuseumObject,
    Person,
    RoleAssignment,
    Showing,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.preparation import FacsimileState, Mount

NOTHING_NAMED = "none on record"
STOP_RULE = (
    "Stop if anything catches, opens, lifts or sheds, if a feature looks changed, or if the "
    "support does not fit: leave the object safe and supported, and let the conservator decide."
)
#: Cautions of the work that stand on the sheet; the install page has all of them.
AT_THE_CASE = ("At the case", "Always")
GONE = (FacsimileState.TAKEN_OUT, FacsimileState.DESTROYED)


@dataclass(frozen=True)
class _Side:
    """One face with the showing it belongs to."""

    showing: Showing
    face: Face


def turn_instruction_words(appointment: Appointment, at: datetime) -> TurnInstructionWords:
    """Its words, in a fixed number of queries. ValueError for an install or de-install."""
    of_house = house()
    appointment = _with_everything(appointment)
    off, on = _sides(appointment)
    museum_object = off.showing.museum_object
    swapped = on.showing.pk != off.showing.pk
    light = light_now(off.showing, off.face, appointment.place, at=at, of_house=of_house)
    last_day = light.last_day
    mount_off = mount_of(off.showing, off.face)
    mount_on = mount_of(on.showing, on.face)
    return TurnInstructionWords(
        institution=of_house.name,
        about=_block(off, of_house),
        turn_no=appointment.appointment_no,
        kind=AppointmentKind(appointment.kind).label,
        exhibition=exhibition_number(off.showing) or off.showing.exhibition.short,
        place=place_path(appointment.place, within_building=True),
        planned_for=day(appointment.day)
        + (f" {appointment.slot:%H:%M}" if appointment.slot else ", before opening"),
        why_this_day=appointment.reason or "as planned",
        last_day=day(last_day) or "not known: the light account is missing its inputs",
        days_in_hand=counted((last_day - appointment.day).days, "day") if last_day else "",
        people=tuple(_people(appointment)),
        comes_off=_page(off, museum_object, of_house),
        goes_on=_page(on, on.showing.museum_object, of_house),
        goes_on_object=_block(on, of_house) if swapped else None,
        support_now=_support(mount_off),
        support_next=_support(mount_on),
        facsimile_out=_facsimile(on),
        facsimile_in=_facsimile(off),
        caption_out=_caption(off),
        caption_in=_caption(on),
        tools="pencil, meter of the record, camera, tray for what comes out; nothing else",
        steps=tuple(_steps(off, on, mount_on)),
        light=light.words,
        stop_rule=STOP_RULE,
        companions=tuple(
            f"{row.museum_object.object_number} in {row.place.name}"
            for row in companions_on_show(museum_object.pk)
        ),
    )


def _with_everything(appointment: Appointment) -> Appointment:
    sides = [
        f"{side}__{name}"
        for side in ("showing", "other_showing")
        for name in ("exhibition", *(f"museum_object__{part}" for part in WITH_OBJECT))
    ]
    return (
        Appointment.objects.select_related(
            "person_1",
            "person_2",
            "from_face__thumbnail",
            "to_face__thumbnail",
            "place__parent__parent__parent__parent",
            *sides,
        )
        .prefetch_related(
            "showing__museum_object__hazards", "other_showing__museum_object__hazards"
        )
        .get(pk=appointment.pk)
    )


def _sides(appointment: Appointment) -> tuple[_Side, _Side]:
    """What comes off and what goes on; a swap takes the face that hangs now."""
    coming = appointment.other_showing or appointment.showing
    leaving = appointment.from_face or _hangs_now(appointment.showing)
    if leaving is None or appointment.to_face is None:
        raise ValueError(
            f"{appointment.appointment_no} names no face that comes off and one that goes on: "
            "plan the turn or swap with both faces before printing its sheet."
        )
    return _Side(appointment.showing, leaving), _Side(coming, appointment.to_face)


def _hangs_now(showing: Showing) -> Face | None:
    period = (
        DisplayPeriod.objects.filter(showing=showing, struck_at=None)
        .select_related("face__thumbnail")
        .order_by("-opened_at", "-pk")
        .first()
    )
    return period.face if period else None


def _block(side: _Side, of_house: House) -> BlockO:
    return block_o(
        side.showing.museum_object,
        of_house=of_house,
        activity=CautionFor.INSTALL,
        only=AT_THE_CASE,
        showing=side.showing,
        face=face_words(side.face),
    )


def _page(side: _Side, museum_object: MuseumObject, of_house: House) -> FacePage:
    return face_page(
        side.face,
        known_features(museum_object, faces=[side.face]),
        next_number=next_feature_number(museum_object),
        of_house=of_house,
        looks=last_looks(museum_object),
    )


def _people(appointment: Appointment) -> Iterator[SignatureWords]:
    people: Sequence[Person] = (appointment.person_1, appointment.person_2)
    rows = (
        RoleAssignment.objects.filter(person__in=people, from_on__lte=appointment.day)
        .exclude(until_on__lt=appointment.day)
        .order_by("pk")
    )
    roles: dict[int, str] = {}
    for row in rows:
        roles.setdefault(row.person_id, row.get_role_display())
    for capacity, person in zip(("Turned by", "With"), people, strict=True):
        yield SignatureWords(
            capacity=capacity, name=person.full_name, role=roles.get(person.pk, "")
        )


def _support(mount: Mount | None) -> str:
    return NOTHING_NAMED if mount is None else mount_words(mount)


def _facsimile(side: _Side) -> str:
    """The facsimile of a face, which lies there while the face itself is hidden."""
    row = (
        Facsimile.objects.filter(of_face=side.face, showing=side.showing)
        .exclude(state__in=[state.value for state in GONE])
        .order_by("-pk")
        .first()
    )
    if row is None:
        return f"{NOTHING_NAMED} for {side.face.label}"
    return f"{row.facsimile_no} of {side.face.label} ({FacsimileState(row.state).label})"


def _caption(side: _Side) -> str:
    """The words of the caption for this face; without its own, the one for all faces."""
    rows = list(Caption.objects.filter(showing=side.showing).order_by("pk"))
    own = next((row for row in rows if row.face_id == side.face.pk), None)
    row = own or next((row for row in rows if row.face_id is None), None)
    if row is None:
        return NOTHING_NAMED
    return row.text


def _steps(off: _Side, on: _Side, mount: Mount | None) -> Iterator[str]:
    yield "Put tools, badges and cups aside; read the cautions; agree who holds and who reads."
    yield "Photograph the place as it is, before anything is touched."
    yield f"Take out {off.face.label}; compare it feature by feature overleaf."
    if mount is not None:
        yield from fixing_lines(mount)
    yield f"Bring {on.face.label} on, right way up. {face_words(on.face).top_left}."
    yield "Check that nothing is under stress; then swap facsimile and caption."
    yield "Photograph it as placed; read lux and UV with the lamps in show state; write the time."
