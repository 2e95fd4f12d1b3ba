"""Builders for display: a crew, a case with positions, objects that are ready and brought there."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from io import BytesIO
from itertools import count
from typing import Any
from uuid import uuid4

from django.utils.timezone import now
from PIL import Image

from lifecycle.actions.display.appointments import Plan, plan_appointment
from lifecycle.actions.display.installing import AS_PLANNED, Seen, install
from lifecycle.actions.display.photos import Photo
from lifecycle.actions.display.reading import MeterSays
from lifecycle.actions.movements import (
    Scanned,
    authorise_movement,
    hand_over,
    plan_movement,
    receive,
)
from lifecycle.actions.movements.planning import Carried
from lifecycle.actions.signing import Hand, with_account
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind, ReportKind, SignCapacity
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    Exhibition,
    Face,
    FaceWanted,
    InstallCheck,
    Instrument,
    JournalEntry,
    Movement,
    Person,
    Picture,
    Place,
    ReadingPoint,
    ReportFace,
    Showing,
    Signature,
    Vocabulary,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.movements import StateOnArrival
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)

PASSWORD = "long enough 42"
_colours = count(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """The people of the gallery, one for each role that display needs."""

    conservator: Person
    technician: Person
    registrar: Person
    curator: Person
    head: Person


def make_crew() -> Crew:
    make_museum()
    return Crew(
        conservator=make_person(Role.CONSERVATOR, name="Marit Oldacre"),
        technician=make_person(Role.TECHNICIAN, name="Bram Oduya"),
        registrar=make_person(Role.REGISTRAR, name="Josephine Abara"),
        curator=make_person(Role.CURATOR, name="Wen Castellane"),
        head=make_person(Role.HEAD_OF_COLLECTIONS, name="Ottilie Varga"),
    )


def running(days_left: int = 90, **values: Any) -> Exhibition:
    """An exhibition that runs today, whatever day the test is made on."""
    today = now().date()
    return make_exhibition(
        install_from=today - timedelta(days=20),
        opens=today - timedelta(days=10),
        closes=today + timedelta(days=days_left),
        deinstall_until=today + timedelta(days=days_left + 10),
        **values,
    )


def hand(person: Person, role: Role, password: str = PASSWORD) -> Hand:
    return with_account(person=person, role=role, password=password)


def a_photo() -> Photo:
    """Bytes of a small picture, different each time, as a phone would send them."""
    number = next(_colours)
    sheet = BytesIO()
    Image.new("RGB", (60, 40), (number % 256, number // 256 % 256, 90)).save(sheet, "PNG")
    return Photo(data=sheet.getvalue(), name=f"placed-{number}.png")


def meter_says(lux: str = "44", uv: str = "3", **values: Any) -> MeterSays:
    values.setdefault("meter", make_meter())
    return MeterSays(lux=Decimal(lux), uv=Decimal(uv), **values)


def put_at(showing: Showing, stage: Stage, at: datetime = AT) -> Showing:
    """Put the row where the test begins, with a journal entry; other files test the way there."""
    row = Showing.objects.get(pk=showing.pk)
    JournalEntry(
        showing=row,
        move="request",
        from_stage="",
        to_stage=stage.value,
        by=row.asked_by,
        role=Role.CURATOR.value,
        at=at,
    ).append()
    row.stage = stage.value
    return row.keep(**kept_by(), fields=["stage"])


def make_case(name: str = "N2", positions: int = 6) -> tuple[Place, list[Place]]:
    """A case in the North Gallery with numbered positions, each with its own reading point."""
    gallery = Place.objects.filter(name="North Gallery").first() or make_place(
        "North Gallery", PlaceKind.ROOM, public=True
    )
    case = make_place(name, PlaceKind.CASE, parent=gallery)
    made = []
    for number in range(1, positions + 1):
        position = make_place(f"{name}/{number}", PlaceKind.POSITION, parent=case)
        ReadingPoint(place=position, letter="A", label="middle, facing the lamp").keep(**kept_by())
        made.append(position)
    return case, made


def make_meter(**values: Any) -> Instrument:
    values.setdefault("kind", "lux_and_uv")
    values.setdefault("name", "Meter 1")
    values.setdefault("serial", f"S{next(_colours)}")
    return Instrument(**values).keep(**kept_by())


def planned_showing(
    exhibition: Exhibition, place: Place | None = None, *, faces: int = 1, **values: Any
) -> Showing:
    """A showing with faces in order that share its days, at the stage selection."""
    showing = make_showing(exhibition=exhibition, place=place, **values)
    first, days = showing.show_from, (showing.show_to - showing.show_from).days
    for order in range(1, faces + 1):
        FaceWanted(
            showing=showing,
            face=make_face(showing.museum_object, order=order),
            order=order,
            from_on=first + timedelta(days=days * (order - 1) // faces + (order > 1)),
            until_on=first + timedelta(days=days * order // faces),
        ).keep(**kept_by())
    return showing


def face_of(showing: Showing, order: int = 1) -> Face:
    return FaceWanted.objects.get(showing=showing, order=order).face


def reason_word(code: str = "install") -> Any:
    return make_word(Vocabulary.MOVE_REASON, code)


def method_word(code: str = "hand") -> Any:
    return make_word(Vocabulary.MOVE_METHOD, code)


def plan_way(
    crew: Crew, showings: list[Showing], to: Place, at: datetime, **values: Any
) -> Movement:
    """A movement planned by the registrar for the objects of these showings."""
    things = [showing.museum_object for showing in showings]
    here = things[0].current_location
    assert here is not None
    values.setdefault("from_place", here)
    values.setdefault("reason", reason_word())
    return plan_movement(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=at,
        to_place=to,
        carried=[Carried(museum_object=s.museum_object, showing=s) for s in showings],
        **values,
    )


def carry(
    crew: Crew,
    movement: Movement,
    at: datetime,
    *,
    scanned: Scanned | None = None,
) -> Movement:
    """Authorise, hand over and receive a planned movement, each by name."""
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=at, movement=movement)
    hand_over(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=at,
        movement=movement,
        hand=hand(crew.conservator, Role.CONSERVATOR),
        left_at=at,
    )
    return receive(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=at,
        movement=movement,
        hand=hand(crew.registrar, Role.REGISTRAR),
        arrived_at=at,
        state=StateOnArrival.SAME,
        scanned=scanned,
    )


def bring(crew: Crew, showing: Showing, to: Place, at: datetime) -> Showing:
    """Carry the object there with every signature."""
    fresh = Showing.objects.get(pk=showing.pk)
    carry(crew, plan_way(crew, [fresh], to, at), at)
    return Showing.objects.get(pk=showing.pk)


def name_technician(
    crew: Crew, showing: Showing, kind: AppointmentKind, at: datetime, **values: Any
) -> Appointment:
    """Plan a day with conservator and technician, which makes it the technician's job too."""
    place = showing.place
    assert place is not None
    values.setdefault("day", at.date())
    return plan_appointment(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=at,
        showing=showing,
        plan=Plan(
            kind=kind,
            place=place,
            person_1=crew.conservator,
            person_2=crew.technician,
            **values,
        ),
    )


def ready_showing(
    crew: Crew,
    place: Place,
    at: datetime,
    *,
    exhibition: Exhibition | None = None,
    faces: int = 1,
    **values: Any,
) -> Showing:
    """A showing that is ready, its object carried to its position, its install planned."""
    exhibition = exhibition or Exhibition.objects.first() or make_exhibition()
    values.setdefault("museum_object", make_object())
    showing = planned_showing(exhibition, place, faces=faces, **values)
    put_at(showing, Stage.READY, at)
    bring(crew, showing, place, at)
    showing = Showing.objects.get(pk=showing.pk)
    name_technician(crew, showing, AppointmentKind.INSTALL, at)
    return showing


def all_seen(**values: Any) -> Seen:
    from_plan = {
        name: getattr(AS_PLANNED, name) for name in Seen.__dataclass_fields__ if name != "photo"
    }
    from_plan |= {"photo": a_photo(), "meter": meter_says()}
    return Seen(**(from_plan | values))


def install_it(crew: Crew, showing: Showing, at: datetime, **values: Any) -> InstallCheck:
    """Install by conservator and technician, all as planned."""
    place = showing.place
    assert place is not None
    values.setdefault("seen", all_seen())
    return install(
        one=hand(crew.technician, Role.TECHNICIAN),
        other=hand(crew.conservator, Role.CONSERVATOR),
        at=at,
        showing=showing,
        face=values.pop("face", face_of(showing)),
        place=values.pop("place", place),
        observed_at=at,
        **values,
    )


def on_display(crew: Crew, place: Place, at: datetime, **values: Any) -> Showing:
    """A showing whose object hangs in its position, installed by two."""
    showing = ready_showing(crew, place, at, **values)
    install_it(crew, showing, at)
    return Showing.objects.get(pk=showing.pk)


def signed_report(
    crew: Crew,
    showing: Showing,
    kind: ReportKind,
    at: datetime,
    *faces: Face,
    by: Person | None = None,
    role: Role = Role.CONSERVATOR,
    **values: Any,
) -> ConditionReport:
    """A report that stands as signed, with a picture of each face; its own rules have own tests."""
    author = by or crew.conservator
    report = ConditionReport(
        report_no=f"CR-{uuid4().hex[:6]}",
        museum_object=showing.museum_object,
        showing=showing,
        kind=kind,
        reason=make_word(Vocabulary.REPORT_REASON, "exhibition"),
        examined_at=at,
        entered_at=at,
        entered_by=author,
        **values,
    ).keep(**kept_by())
    for face in faces:
        ReportFace(report=report, face=face, picture=a_picture(face, at)).keep(**kept_by())
    report.digest, report.signed_text, report.signed_at = "b" * 64, "Condition report\n", at
    report.keep(**kept_by())
    Signature(
        person=author,
        role=role.value,
        capacity=SignCapacity.AUTHOR.value,
        method="account",
        at=at,
        entered_at=at,
        record_kind="condition-report",
        record_uid=report.uid,
        digest=report.digest,
    ).append()
    return report


def a_picture(face: Face, at: datetime) -> Picture:
    """A picture row without a file behind it."""
    name = uuid4().hex
    return Picture(
        sha256=(name * 2)[:64],
        name=f"{name[:6]}.png",
        mime="image/png",
        width=800,
        height=600,
        size_bytes=10_000,
        museum_object=face.museum_object,
        face=face,
        taken_at=at,
        entered_at=at,
    ).keep(**kept_by())
