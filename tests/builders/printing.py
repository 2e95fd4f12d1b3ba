"""Rows that papers are printed from, with plain defaults."""

from datetime import datetime, timedelta
from typing import Any

from lifecycle.actions.incidents import Happening, start_incident
from lifecycle.actions.papers_out import print_paper
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import FeatureState, Hazard, HazardEvidence, Orientation, ReportKind
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    CopyWord,
    DisplayPeriod,
    Exhibition,
    Face,
    FaceWanted,
    Feature,
    Incident,
    Movement,
    MovementLine,
    MuseumObject,
    ObjectHazard,
    Observation,
    PaperKind,
    PaperSize,
    Person,
    Print,
    ProposalVersion,
    ReportFace,
    Showing,
    TreatmentReport,
    Vocabulary,
)
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)
from tests.builders.treatment import make_sent

BASE = "http://127.0.0.1:8000"


def make_proposed(thing: MuseumObject | None = None) -> ProposalVersion:
    """A version of a treatment proposal that was sent."""
    make_museum()
    showing = make_showing(museum_object=thing or make_object())
    return make_sent(make_person(Role.CONSERVATOR), showing=showing)


def make_barometer(**values: Any) -> MuseumObject:
    """The stick barometer of 1779: mercury (liquid), upright only."""
    values.setdefault("object_number", "HCM.1899.2")
    values.setdefault("title", "Stick barometer")
    values.setdefault("orientation_rule", Orientation.UPRIGHT_ONLY)
    barometer = make_object(**values)
    note_hazard(barometer, Hazard.MERCURY_LIQUID)
    return barometer


def note_hazard(museum_object: MuseumObject, *hazards: Hazard) -> None:
    for hazard in hazards:
        ObjectHazard(
            museum_object=museum_object, hazard=hazard, evidence=HazardEvidence.TESTED
        ).keep(**kept_by())


def make_movement(
    *objects: MuseumObject, showing: Showing | None = None, **values: Any
) -> Movement:
    """A planned movement with its authority."""
    make_museum()
    carried = objects or (make_object(),)
    values.setdefault("movement_no", f"MV-{Movement.objects.count() + 1:04d}")
    values.setdefault("from_place", carried[0].current_location)
    if "to_place" not in values:
        values["to_place"] = make_place()
    values.setdefault("reason", make_word(Vocabulary.MOVE_REASON, "install"))
    values.setdefault("planned_for", AT + timedelta(days=1))
    registrar = make_person(Role.REGISTRAR)
    movement = Movement(
        authorised_by=registrar, authorised_at=AT, authorised_role=Role.REGISTRAR, **values
    ).keep(**kept_by())
    for thing in carried:
        MovementLine(movement=movement, museum_object=thing, showing=showing).keep(**kept_by())
    return movement


def make_report(museum_object: MuseumObject | None = None, **values: Any) -> ConditionReport:
    """A draft of a baseline report that covers the object's faces."""
    make_museum()
    thing = museum_object or make_object()
    values.setdefault("report_no", f"CR-{ConditionReport.objects.count() + 1:04d}")
    values.setdefault("kind", ReportKind.BASELINE)
    values.setdefault("reason", make_word(Vocabulary.REPORT_REASON, "exhibition"))
    values.setdefault("entered_at", AT)
    if "entered_by" not in values:
        values["entered_by"] = make_person(Role.CONSERVATOR)
    report = ConditionReport(museum_object=thing, **values).keep(**kept_by())
    for face in thing.faces.order_by("order", "pk"):
        ReportFace(report=report, face=face).keep(**kept_by())
    return report


def sign(report: ConditionReport, at: datetime = AT) -> ConditionReport:
    """Signed by hand for a test that only reads: digest and words stand."""
    report.signed_at, report.digest, report.signed_text = at, "ab12cd34ef" + "0" * 54, "words\n"
    report.examined_at = report.examined_at or at
    return report.keep(**kept_by())


def make_finding(report: ConditionReport, face: Face, **values: Any) -> Observation:
    """A feature with its next number and its first observation in a report."""
    term = make_word(Vocabulary.CONDITION_TERM, values.pop("term", "tear"))
    number = Feature.objects.filter(museum_object=report.museum_object).count() + 1
    feature = Feature(museum_object=report.museum_object, face=face, number=number, term=term).keep(
        **kept_by()
    )
    values.setdefault("state", FeatureState.FIRST_RECORD)
    values.setdefault("zone", "C2")
    values.setdefault("severity", 1)
    return Observation(
        report=report,
        feature=feature,
        term=term,
        written_by=report.entered_by,
        written_at=AT,
        **values,
    ).keep(**kept_by())


def on_display(
    museum_object: MuseumObject | None = None, *, faces: int = 1, **values: Any
) -> Showing:
    """A showing whose first face hangs since thirty days, as far as papers read it."""
    make_museum()
    thing = museum_object or make_object()
    values.setdefault("exhibition_number", "14")
    values.setdefault("stage", Stage.ON_DISPLAY)
    if "place" not in values:
        values["place"] = make_place()
    showing = make_showing(museum_object=thing, **values)
    made = [make_face(thing, order=number) for number in range(1, faces + 1)]
    for order, face in enumerate(made, start=1):
        FaceWanted(
            showing=showing,
            face=face,
            order=order,
            from_on=showing.show_from,
            until_on=showing.show_to,
        ).keep(**kept_by())
    DisplayPeriod(
        showing=showing,
        museum_object=thing,
        face=made[0],
        place=showing.place,
        opened_by=PeriodOpening.INSTALL,
        opened_at=AT - timedelta(days=30),
    ).keep(**kept_by())
    return showing


def make_turn(showing: Showing | None = None, **values: Any) -> Appointment:
    """A planned turn from the first face of a showing to its second."""
    shown = showing or on_display(faces=2)
    faces = [row.face for row in shown.faces_wanted.order_by("order")]
    values.setdefault("appointment_no", f"TU-{Appointment.objects.count() + 1:04d}")
    values.setdefault("kind", AppointmentKind.TURN)
    values.setdefault("from_face", faces[0])
    values.setdefault("to_face", faces[1])
    values.setdefault("day", DAY + timedelta(days=6))
    if "person_1" not in values:
        values["person_1"] = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    if "person_2" not in values:
        values["person_2"] = make_person(Role.TECHNICIAN, name="Bram Oduya")
    return Appointment(showing=shown, place=shown.place, **values).keep(**kept_by())


def make_incident(museum_object: MuseumObject | None = None) -> Incident:
    """Something found on an object an hour before, by a technician; the object is not held."""
    make_museum()
    return start_incident(
        by=make_person(Role.TECHNICIAN, name="Bram Oduya"),
        role=Role.TECHNICIAN,
        at=AT - timedelta(hours=1),
        said=Happening(
            kind=make_word(Vocabulary.INCIDENT_KIND, "water"),
            circumstances="Drops on the glass.",
            discovered_at=AT - timedelta(hours=2),
            objects=[museum_object or make_object()],
            hold=False,
        ),
    )


def printed(record: Any, by: Person | None = None, **values: Any) -> Print:
    """A print made by the action itself, as a registrar."""
    values.setdefault("role", Role.REGISTRAR)
    values.setdefault("at", AT)
    paper: PaperKind | None = values.get("paper")
    # A treatment report is printed to be signed once it is whole.
    unsigned = isinstance(record, Exhibition | TreatmentReport) or (
        paper is not None and paper.unsigned
    )
    values.setdefault("copy_word", CopyWord.WORKING if unsigned else CopyWord.TO_SIGN)
    values.setdefault("page_size", PaperSize.A4)
    values.setdefault("base_address", BASE)
    return print_paper(by=by or make_person(values["role"]), record=record, **values)
