"""Which record a paper is made from, and its words."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID

from lifecycle.papers.filling.cards import (
    facsimile_label_words,
    housing_label_words,
    mount_label_words,
    object_tag_words,
)
from lifecycle.papers.filling.case_conditions import case_conditions_words
from lifecycle.papers.filling.condition_report import condition_report_words
from lifecycle.papers.filling.deinstall_form import deinstall_form_words
from lifecycle.papers.filling.incident_report import incident_report_words
from lifecycle.papers.filling.light_statement import light_statement_words
from lifecycle.papers.filling.movement_slip import movement_slip_words
from lifecycle.papers.filling.object_list import object_list_words
from lifecycle.papers.filling.reading_sheet import reading_sheet_words
from lifecycle.papers.filling.tickets import imaging_ticket_words, mount_ticket_words
from lifecycle.papers.filling.treatment_proposal import treatment_proposal_words
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.papers.filling.turn_instruction import turn_instruction_words
from lifecycle.papers.sheets import PaperWords
from lifecycle.queries.light.case_conditions import case_conditions
from lifecycle.queries.object_list import hang_of
from lifecycle.queries.rights import places_below
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    DisplayPeriod,
    Exhibition,
    Incident,
    Movement,
    MuseumObject,
    PaperKind,
    Place,
    ProposalVersion,
    Showing,
    TreatmentReport,
)
from lifecycle.records.models.preparation import Facsimile, Housing, ImagingJob, Mount
from lifecycle.records.signable import Signable

PrintedRecord = (
    ConditionReport
    | Showing
    | Movement
    | Appointment
    | Exhibition
    | MuseumObject
    | Place
    | Incident
    | Housing
    | Mount
    | Facsimile
    | ProposalVersion
    | ImagingJob
    | TreatmentReport
)

#: The record that each paper is about; the name stands in the row of the print.
RECORDS: Final[dict[PaperKind, type[PrintedRecord]]] = {
    PaperKind.CONDITION_REPORT: ConditionReport,
    PaperKind.DEINSTALL_FORM: Showing,
    PaperKind.MOVEMENT_SLIP: Movement,
    PaperKind.TURN_INSTRUCTION: Appointment,
    PaperKind.OBJECT_LIST: Exhibition,
    PaperKind.LIGHT_STATEMENT: MuseumObject,
    PaperKind.READING_SHEET: Place,
    PaperKind.CASE_CONDITIONS: Place,
    PaperKind.INCIDENT_REPORT: Incident,
    PaperKind.OBJECT_TAG: Showing,
    PaperKind.HOUSING_LABEL: Housing,
    PaperKind.MOUNT_LABEL: Mount,
    PaperKind.FACSIMILE_LABEL: Facsimile,
    PaperKind.TREATMENT_PROPOSAL: ProposalVersion,
    PaperKind.MOUNT_TICKET: Mount,
    PaperKind.IMAGING_TICKET: ImagingJob,
    PaperKind.TREATMENT_REPORT: TreatmentReport,
}


@dataclass(frozen=True, slots=True)
class About:
    """What a paper is about beside its words: number of the record, objects, place it goes to."""

    number: str
    objects: tuple[tuple[int, int | None], ...]
    place: Place | None


def words_for(record: PrintedRecord, at: datetime, kind: PaperKind | None = None) -> PaperWords:
    """The words of the paper that belongs to this record, as they stand at `at`.

    A place, a showing and a mount have two papers each: `kind` says which, else it is the reading
    sheet, the de-install form, the mount's label.
    """
    match record:
        case ConditionReport():
            return condition_report_words(record, at)
        case Showing():
            if kind is PaperKind.OBJECT_TAG:
                return object_tag_words(record)
            return deinstall_form_words(record, at)
        case Movement():
            return movement_slip_words(record)
        case Appointment():
            return turn_instruction_words(record, at)
        case Exhibition():
            return object_list_words(record)
        case Incident():
            return incident_report_words(record, at)
        case ProposalVersion():
            return treatment_proposal_words(record, at)
        case TreatmentReport():
            return treatment_report_words(record, at)
        case MuseumObject():
            return light_statement_words(record, at)
        case Housing():
            return housing_label_words(record, at)
        case Mount():
            if kind is PaperKind.MOUNT_TICKET:
                return mount_ticket_words(record, at)
            return mount_label_words(record)
        case Facsimile():
            return facsimile_label_words(record, at)
        case ImagingJob():
            return imaging_ticket_words(record)
        case Place():
            if kind is PaperKind.CASE_CONDITIONS:
                return case_conditions_words(record, at)
            return reading_sheet_words(record, at)


def about(record: PrintedRecord, at: datetime, kind: PaperKind | None = None) -> About:
    """Objects as (object, showing) row ids, with the number of the record."""
    match record:
        case ConditionReport():
            return About(
                record.report_no, ((record.museum_object_id, record.showing_id),), record.where
            )
        case Showing():
            return About(record.request_no, ((record.museum_object_id, record.pk),), record.place)
        case Movement():
            lines = record.lines.order_by("pk").values_list("museum_object_id", "showing_id")
            return About(record.movement_no, tuple(lines), record.to_place)
        case Appointment():
            objects: list[tuple[int, int | None]] = [
                (record.showing.museum_object_id, record.showing_id)
            ]
            if record.other_showing is not None:
                objects.append((record.other_showing.museum_object_id, record.other_showing_id))
            return About(record.appointment_no, tuple(objects), record.place)
        case Exhibition():
            shown = [(one.showing.museum_object_id, one.showing.pk) for one in hang_of(record)]
            return About(record.short, tuple(dict(shown).items()), None)
        case Incident():
            found = record.lines.order_by("pk").values_list("museum_object_id", "showing_id")
            return About(record.incident_no, tuple(found), record.place)
        case ProposalVersion() | TreatmentReport():
            proposal = record.proposal
            treated = (proposal.museum_object_id, proposal.showing_id)
            return About(proposal.proposal_no, (treated,), None)
        case MuseumObject():
            return About(record.object_number[:24], ((record.pk, None),), None)
        case Housing():
            return About(record.housing_no, ((record.museum_object_id, record.showing_id),), None)
        case Mount():
            return About(record.mount_no, ((record.museum_object_id, record.showing_id),), None)
        case Facsimile():
            return About(
                record.facsimile_no,
                ((record.of_face.museum_object_id, record.showing_id),),
                None,
            )
        case ImagingJob():
            pair = ((record.face.museum_object_id, record.showing_id),)
            return About(record.job_no, pair, None)
        case Place():
            return About(record.code, tuple(_in_place(record, at, kind).items()), record)


def _in_place(place: Place, at: datetime, kind: PaperKind | None) -> dict[int, int | None]:
    """What a paper of a place is about: all on display there, or all that will be in the case."""
    if kind is PaperKind.CASE_CONDITIONS:
        inside = case_conditions(place, at).inside
        return {one.showing.museum_object_id: one.showing.pk for one in inside}
    up = DisplayPeriod.objects.filter(
        place__in=places_below([place.pk]), closed_at=None, struck_at=None
    )
    rows = up.order_by("pk").values_list("museum_object", "showing")
    return dict(rows)


def record_of(paper: str, uid: UUID) -> PrintedRecord | None:
    """The record a print was made from, or None when it is not there."""
    return RECORDS[PaperKind(paper)].objects.filter(uid=uid).first()


def kind_of(record: PrintedRecord) -> PaperKind:
    return next(kind for kind, model in RECORDS.items() if isinstance(record, model))


def is_signed(record: PrintedRecord) -> bool:
    """Whether the record itself was signed, so that its print carries the digest of that."""
    return isinstance(record, Signable) and record.signed
