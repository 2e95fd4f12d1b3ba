"""Print a paper: its words are written down first, and drawn from there ever after."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.db import transaction

from lifecycle.actions.condition.completeness import digest_to_sign
from lifecycle.actions.movements.planning import refuse_unhoused
from lifecycle.actions.numbering import next_number
from lifecycle.actions.papers_out.allowed import TO_PRINT, allow_one_of, subjects_of_paper
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.whole_reports import missing_of_report
from lifecycle.papers.filling.any_paper import (
    PrintedRecord,
    about,
    is_signed,
    kind_of,
    words_for,
)
from lifecycle.papers.filling.condition_report import condition_report_words
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.papers.fonts.catalogue import FontFault
from lifecycle.papers.printed import draw_print, pictures_in, stored, unprintable
from lifecycle.papers.sheets import PaperWords
from lifecycle.papers.words.blocks import Stamp
from lifecycle.papers.words.stored import plain_text
from lifecycle.process.carrying import method_ruled_out
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.movements import loads_of
from lifecycle.queries.papers_out import picture_source
from lifecycle.queries.rights import museum_day
from lifecycle.queries.signed_text.lines import day_in_words
from lifecycle.queries.signed_text.registry import digest_of, version_of
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.base import short_code
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    CopyWord,
    DisplayPeriod,
    Movement,
    MuseumObject,
    PaperKind,
    PaperSize,
    Person,
    Place,
    Print,
    PrintAbout,
    PrintSize,
    Proposal,
    ProposalVersion,
    Showing,
    TreatmentReport,
)
from lifecycle.records.signable import Signable

#: When a report that is to be signed is looked for, if nobody names a day.
REPORT_BACK_AFTER: Final = timedelta(days=14)
SLIP_BACK_AFTER: Final = timedelta(days=2)
SHEET_BACK_AFTER: Final = timedelta(days=2)


@transaction.atomic
def print_paper(
    *,
    by: Person,
    role: Role,
    at: datetime,
    record: PrintedRecord,
    copy_word: CopyWord,
    page_size: PaperSize | PrintSize,
    base_address: str,
    expected_back_by: date | None = None,
    paper: PaperKind | None = None,
) -> Print:
    """Print one paper and give it its number; the sheet is drawn from the row that is returned.

    Only a copy to sign, and the slip that goes with an object, is expected back.

    :param base_address: where this installation is reached, for the QR code; no slash at the end
    :param paper: which of its papers, for a record that has several (a place)
    :raises NotAllowed: the role may not print this
    :raises Refused: a character that no font has, a movement that may not be made, a form whose
        object was never on display, a signed copy of an unsigned report, a day in the past
    """
    kind = paper or kind_of(record)
    what = about(record, at, kind)
    allow_one_of(
        by=by,
        role=role,
        deeds=TO_PRINT[kind],
        at=at,
        subjects=subjects_of_paper(kind, what.place, what.objects),
        what=f"print the {kind.label} {what.number}",
    )
    reasons = list(_faults(record, kind, copy_word, expected_back_by, at))
    reasons += _faults_of_stock(kind, page_size)
    if reasons:
        raise Refused(reasons)
    print_no = next_number("PR")
    words = _words(record, at, kind, copy_word)
    digest, version = _digest_and_version(record, kind, words)
    row = Print(
        print_no=print_no,
        paper=kind,
        record_kind=record._meta.model_name or "",
        record_uid=record.uid,
        record_no=what.number,
        record_version=version,
        digest=digest,
        copy_word=copy_word,
        page_size=page_size.value,
        zone=museum_zone().key,
        place=what.place,
        printed_by=by,
        printed_role=role,
        printed_at=at,
    )
    row.code = short_code(row.uid)
    row.address = f"{base_address}/p/{row.code}/"
    stamp = _stamp(row, by, copy_word)
    _refuse_uncovered(words, stamp)
    row.words = stored(words, stamp)
    row.pages = _pages(row, words)
    row.expected_back = copy_word is CopyWord.TO_SIGN
    if row.expected_back:
        row.expected_back_by = expected_back_by or _due(record, at)
    row.append()
    for object_id, showing_id in what.objects:
        PrintAbout(print=row, museum_object_id=object_id, showing_id=showing_id).append()
    return row


@dataclass(frozen=True, slots=True)
class Job:
    """One paper of a pack: its record, the copy, and the role in which it is printed."""

    record: PrintedRecord
    copy_word: CopyWord
    role: Role
    paper: PaperKind | None = None


@transaction.atomic
def print_pack(
    *, by: Person, at: datetime, jobs: Sequence[Job], page_size: PaperSize, base_address: str
) -> list[Print]:
    """Print several papers, all or none; each has its own number.

    :raises NotAllowed: one of the roles may not print its paper
    :raises Refused: nothing was chosen, or the reasons of every paper that can't be printed, each
        with the number of its record
    """
    rows: list[Print] = []
    reasons: list[Reason] = []
    for job in jobs:
        try:
            row = print_paper(
                by=by,
                role=job.role,
                at=at,
                record=job.record,
                copy_word=job.copy_word,
                page_size=page_size,
                base_address=base_address,
                paper=job.paper,
            )
        except Refused as refused:
            number = about(job.record, at, job.paper).number
            reasons += [Reason(f"{number}: {one.text}", code=one.code) for one in refused.reasons]
        else:
            rows.append(row)
    if not jobs:
        reasons.append(Reason("Choose at least one paper to print."))
    if reasons:
        raise Refused(reasons)
    return rows


def _faults(
    record: PrintedRecord,
    kind: PaperKind,
    copy_word: CopyWord,
    expected_back_by: date | None,
    at: datetime,
) -> Iterator[Reason]:
    if expected_back_by is not None and expected_back_by < museum_day(at):
        yield Reason(
            f"{day_in_words(expected_back_by)} is past: name a day from today on.",
            "expected_back_by",
            "paper.due_past",
        )
    if copy_word is CopyWord.SIGNED_COPY and not is_signed(record):
        yield Reason(
            "There is no signed record to copy yet: print a working copy or one to sign.",
            "copy_word",
            "paper.not_signed",
        )
    if kind.unsigned and copy_word in (CopyWord.TO_SIGN, CopyWord.SIGNED_COPY):
        yield Reason(
            f"Nobody signs {_one_of(kind)} {kind.label}: "
            "print a working copy, or one for the lender.",
            "copy_word",
            "paper.list_unsigned",
        )
    match record:
        case Movement():
            yield from _movement_faults(record, at)
        case Showing() if kind is PaperKind.DEINSTALL_FORM:
            if not DisplayPeriod.objects.filter(showing=record, struck_at=None).exists():
                yield Reason(
                    f"{record.museum_object.object_number} has not been on display in "
                    f"{record.exhibition.short}: there is nothing to take down yet.",
                    code="paper.never_shown",
                )
        case Appointment():
            if record.kind not in {"turn", "swap"}:
                yield Reason(
                    f"{record.appointment_no} is no turn and no swap: it has no instruction sheet.",
                    code="paper.no_turn",
                )
        case ProposalVersion():
            if copy_word is CopyWord.TO_SIGN and not record.signed:
                yield Reason(
                    f"{record.proposal.proposal_no} version {record.version} was not sent yet: "
                    "consent counts for what was sent.",
                    "copy_word",
                    "paper.not_sent",
                )
        case TreatmentReport() if copy_word is CopyWord.TO_SIGN:
            yield from faults_to_sign(record, at)
        case ConditionReport():
            if record.struck_at is not None:
                yield Reason(
                    f"{record.report_no} was struck: start a new report.", code="paper.struck"
                )


def faults_to_sign(report: TreatmentReport, at: datetime) -> Iterator[Reason]:
    """A report is printed to be signed once it can be, and while somebody is still to sign it."""
    number = report.proposal.proposal_no
    if report.signed:
        if not treatment_report_words(report, at).still_to_sign:
            text = f"Everybody has signed the report on {number}: print a signed copy."
            yield Reason(text, "copy_word", "paper.all_signed")
        return
    proposal = whole_proposals(Proposal.objects.filter(pk=report.proposal_id)).get()
    for missing in missing_of_report(report, proposal, report.author, at):
        text = f"The report on {number} can’t be signed yet. {missing.text}"
        yield Reason(text, "copy_word", "paper.not_whole")


def _one_of(kind: PaperKind) -> str:
    if kind.label[0] in "aeiou":
        return "an"
    return "a" if kind.is_label or kind.is_ticket else "a sheet of"


def _faults_of_stock(kind: PaperKind, page_size: PaperSize | PrintSize) -> Iterator[Reason]:
    if not kind.is_label and page_size.value not in {size.value for size in PaperSize}:
        yield Reason(
            "Only labels are printed on card: choose A4 or US Letter.",
            "page_size",
            "paper.card_for_labels",
        )


def _movement_faults(movement: Movement, at: datetime) -> Iterator[Reason]:
    if movement.cancelled_at is not None:
        yield Reason(
            f"{movement.movement_no} was called off: plan the movement anew.",
            code="paper.cancelled",
        )
        return
    objects = list(
        MuseumObject.objects.filter(movement_lines__movement=movement).order_by("object_number")
    )
    if not objects:
        yield Reason(
            f"{movement.movement_no} carries no object: add one before printing its slip.",
            code="paper.empty_movement",
        )
    method = movement.method
    if method is not None and (why := method_ruled_out(method.code, loads_of(objects))):
        yield Reason(why, code="movement.method")
    if movement.arrived_at is None:
        try:
            refuse_unhoused(movement.to_place, objects, at)
        except Refused as refused:
            yield from refused.reasons


def _words(record: PrintedRecord, at: datetime, kind: PaperKind, copy_word: CopyWord) -> PaperWords:
    """The words of a paper; a condition report that could be signed says what would be signed."""
    try:
        if isinstance(record, ConditionReport) and copy_word is CopyWord.TO_SIGN:
            return condition_report_words(record, at, to_sign=digest_to_sign(record, at))
        return words_for(record, at, kind)
    except ValueError as fault:
        raise Refused(Reason(str(fault), code="paper.not_ready")) from fault


def _digest_and_version(
    record: PrintedRecord, kind: PaperKind, words: PaperWords
) -> tuple[str, int]:
    """The signed digest where there is one, else that of the words; and which version that is.

    A record without versions of its own counts the different contents that were printed of it.
    """
    if isinstance(record, Signable):
        return record.digest or text_digest(words), version_of(record)
    digest = text_digest(words)
    earlier = list(
        Print.objects.filter(paper=kind, record_uid=record.uid)
        .order_by("record_version")
        .values_list("digest", "record_version")
    )
    same = next((version for printed, version in earlier if printed == digest), None)
    return digest, same or (earlier[-1][1] + 1 if earlier else 1)


def text_digest(words: PaperWords) -> str:
    """SHA-256 over the plain text of a paper, in UTF-8."""
    return digest_of(plain_text(words))


def _stamp(row: Print, by: Person, copy_word: CopyWord) -> Stamp:
    local = row.printed_at.astimezone(museum_zone())
    return Stamp(
        record_no=row.record_no,
        version=row.record_version,
        digest=row.digest,
        print_no=row.print_no,
        code=row.code,
        address=row.address,
        printed_at=f"{day_in_words(local.date())} {local:%H:%M} {local.tzname()} ({row.zone})",
        printed_by=by.full_name,
        copy=copy_word.label,
    )


def _refuse_uncovered(words: PaperWords, stamp: Stamp) -> None:
    """A character that no font has is named with its field; it is never drawn empty."""
    try:
        faults = unprintable(words, stamp)
    except FontFault as fault:
        raise Refused(Reason(str(fault), code="paper.font")) from fault
    if faults:
        raise Refused([Reason(fault.text, code="paper.character") for fault in faults])


def _pages(row: Print, words: PaperWords) -> int:
    """Draw once before anything is kept: what cannot be drawn must not get a number."""
    source = picture_source(pictures_in(words))
    return draw_print(row.paper, row.words, page_size=row.page_size, pictures=source).pages


def _due(record: PrintedRecord, at: datetime) -> date:
    """The day by which a copy to sign is looked for; never before today."""
    today = museum_day(at)
    match record:
        case Showing():
            due = record.exhibition.deinstall_until
        case Appointment():
            due = record.day
        case Movement():
            planned = record.planned_for
            due = museum_day(planned) if planned else today + SLIP_BACK_AFTER
        case Place():
            due = today + SHEET_BACK_AFTER
        case _:
            due = today + REPORT_BACK_AFTER
    return max(due, today)
