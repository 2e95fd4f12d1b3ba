"""Read a filled sheet back: every box in the order of the paper, once a print, into its record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.papers_out.allowed import allow_one_of
from lifecycle.actions.papers_out.returning import Return, keep_scan, mark_back, return_faults
from lifecycle.actions.reading_back.deciding import Deciding, Filled, Writer
from lifecycle.actions.reading_back.deinstall import take_deinstall
from lifecycle.actions.reading_back.incident import take_incident
from lifecycle.actions.reading_back.report import take_report
from lifecycle.actions.reading_back.signed_report import take_signatures
from lifecycle.actions.reading_back.treatment_report import take_treatment_report
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.papers.filling.any_paper import record_of
from lifecycle.papers.printed import words_of
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.papers.words.deinstall_form import DeinstallFormWords
from lifecycle.papers.words.incident_report import IncidentReportWords
from lifecycle.papers.words.treatment_report import TreatmentReportWords
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import locked_prints, objects_of, print_of_code
from lifecycle.records.base import typed_code
from lifecycle.records.models import (
    ConditionReport,
    CopyWord,
    Incident,
    PaperKind,
    Person,
    Print,
    PrintReturn,
    Showing,
    TreatmentReport,
)

#: The papers that are read back line by line, and the deeds that open it; one is enough.
READ_BACK: Final[dict[PaperKind, tuple[Deed, ...]]] = {
    PaperKind.CONDITION_REPORT: (Deed.EXAMINE,),
    PaperKind.DEINSTALL_FORM: (Deed.EXAMINE, Deed.PART_A),
    PaperKind.INCIDENT_REPORT: (Deed.EXAMINE, Deed.REPORT_EVENT),
    PaperKind.TREATMENT_REPORT: (Deed.EXAMINE,),
}


def deeds_to_read_back(row: Print) -> tuple[Deed, ...]:
    """What opens the reading back of one print; nothing for papers that are not read so.

    Where no finding can stand on it, for it was printed to be signed, whoever may countersign
    reads it back: nobody reads their own, and a house may have one conservator.
    """
    deeds = READ_BACK.get(PaperKind(row.paper), ())
    if row.paper == PaperKind.TREATMENT_REPORT and row.copy_word == CopyWord.TO_SIGN:
        return (*deeds, Deed.COUNTERSIGN)
    if row.paper == PaperKind.CONDITION_REPORT:
        words = words_of(row.paper, row.words)
        if isinstance(words, ConditionReportWords) and words.to_sign:
            return (*deeds, Deed.COUNTERSIGN)
    return deeds


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One filled sheet: the short code printed on it, its answers, who wrote and when.

    ``choices`` says, by the key of a line that the record says otherwise, which of them stands.
    """

    code: str
    filled: Sequence[Filled]
    details: Return
    choices: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """The return that was written, and the reports it went into."""

    returned: PrintReturn
    targets: tuple[str, ...]


@transaction.atomic
def read_back(*, by: Person, role: Role, at: datetime, row: Print, sheet: Sheet) -> ReadBack:
    """Keep what stands on the sheet, and take it into the record; all of it or nothing.

    :raises NotAllowed: the role may not read this paper back
    :raises Refused: another sheet than the print, a fault of the return, a line that can't be
        read, and each line that the record says otherwise since the printing: all at once, by key
    """
    (locked,) = locked_prints([row])
    deeds = deeds_to_read_back(locked)
    allow_one_of(
        by=by,
        role=role,
        deeds=deeds,
        at=at,
        objects=objects_of([locked]),
        what=f"read {locked.print_no} back",
    )
    if reason := wrong_sheet(locked, sheet.code):
        raise Refused(reason)
    reasons = return_faults([locked], sheet.details, at)
    scan = keep_scan(by=by, role=role, at=at, rows=[locked], details=sheet.details)
    details = replace(sheet.details, scan=None, kept_scan=scan)
    deciding = Deciding(
        print=locked,
        writer=Writer(
            by=by,
            role=role,
            at=at,
            observed_at=sheet.details.observed_at,
            written_by=sheet.details.written_by,
            scan=details.kept_scan,
        ),
        answers={one.key: one.answer for one in sheet.filled},
        choices=sheet.choices,
    )
    if not any(reason.field == "observed_at" for reason in reasons):
        _take_in(deciding, locked)
    if reasons := [*reasons, *deciding.reasons]:
        raise Refused(reasons)
    details = replace(
        details,
        written=[one.as_data() for one in sheet.filled],
        taken=deciding.lines,
    )
    (returned,) = mark_back(by=by, role=role, at=at, prints=[locked], details=details)
    return ReadBack(returned=returned, targets=tuple(deciding.targets))


def _take_in(deciding: Deciding, row: Print) -> None:
    record = record_of(row.paper, row.record_uid)
    words = words_of(row.paper, row.words)
    match record:
        case ConditionReport() if isinstance(words, ConditionReportWords) and words.to_sign:
            take_signatures(deciding, record, words)
        case ConditionReport():
            take_report(deciding, record)
        case Showing() if isinstance(words, DeinstallFormWords):
            take_deinstall(deciding, record, words)
        case Incident() if isinstance(words, IncidentReportWords):
            take_incident(deciding, record, words)
        case TreatmentReport() if isinstance(words, TreatmentReportWords):
            take_treatment_report(deciding, record, words)


def wrong_sheet(row: Print, typed: str) -> Reason | None:
    """Say so when the code in the hand is not that of the print on the screen."""
    if not typed.strip():
        text = "Type the short code that stands below the QR code of the sheet in your hand."
        return Reason(text, "sheet_code", "paper.code")
    if typed_code(typed) == row.code:
        return None
    asked = ", ".join(_numbers(row)) or row.record_no
    other = print_of_code(typed)
    if other is None:
        text = (
            f"No print has the code “{typed.strip()}”. You are reading back {row.print_no}, "
            f"{row.get_paper_display()} of {asked}: look at the sheet again."
        )
        return Reason(text, "sheet_code", "paper.code")
    held = ", ".join(_numbers(other)) or other.record_no
    text = (
        f"The sheet in your hand is {other.print_no}, {other.get_paper_display()} of {held}; this "
        f"page reads back {row.print_no}, {row.get_paper_display()} of {asked}. Nothing is "
        "written, and what you typed stays below."
    )
    return Reason(text, "sheet_code", "paper.other_sheet")


def _numbers(row: Print) -> list[str]:
    return sorted(row.about.order_by("pk").values_list("museum_object__object_number", flat=True))
