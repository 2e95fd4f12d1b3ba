"""A condition report that was printed whole and signed by hand: reading it back signs it."""

from collections.abc import Callable, Iterator
from typing import Any

from lifecycle.actions.condition.draft import about_report, deed_for
from lifecycle.actions.condition.sign import countersign_report, sign_report
from lifecycle.actions.reading_back.by_hand import KEEP, NAMED, SignedLine, take_hand
from lifecycle.actions.reading_back.deciding import Deciding
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.papers.filling.condition_report import EXAMINED_BY
from lifecycle.papers.sheets.asked import NAME
from lifecycle.papers.sheets.condition_report import SIGNED, signed_at_once
from lifecycle.papers.stamped import faults_of_print
from lifecycle.papers.standing import moved_on
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.process.rights import Deed
from lifecycle.process.words import ReportKind, SignCapacity
from lifecycle.queries.signed_text.registry import digest_of, signatures_of, text_of
from lifecycle.records.models import ConditionReport


def take_signatures(
    deciding: Deciding, printed: ConditionReport, words: ConditionReportWords
) -> None:
    """Take the hands of a sheet whose report still says what it said when it was printed.

    They are read in the order of the sheet, so that the first who examined freezes the report.
    """
    report = ConditionReport.objects.select_for_update(of=("self",)).get(pk=printed.pk)
    signed = [
        (f"{SIGNED}.{at}", line)
        for at, line in enumerate(signed_at_once(words))
        if deciding.says_anything(f"{SIGNED}.{at}.")
    ]
    against = list(_against(deciding, report, words)) if signed else []
    for row, line in signed:
        if against:
            deciding.reasons += [Reason(text, f"{row}.{NAME}", "paper.signed") for text in against]
            continue
        examined = line.capacity == EXAMINED_BY
        sign_line = SignedLine(
            row=row,
            capacity=line.capacity,
            deed=_examined(deciding, report, line) if examined else _second(deciding, report),
            right=deed_for(report.kind) if examined else Deed.COUNTERSIGN,
            about=about_report(report),
            record=str(report),
        )
        take_hand(deciding, sign_line)


def _against(
    deciding: Deciding, report: ConditionReport, words: ConditionReportWords
) -> Iterator[str]:
    """Why a hand below this sheet is none below the report as it stands."""
    yield from faults_of_print(deciding.print)
    if (report.digest or digest_of(text_of(report))) == words.to_sign:
        return
    changed = moved_on(deciding.print)
    named = "; ".join(name for name, _, _ in changed.lines[:NAMED]) if changed else ""
    yield (
        f"{report} was changed after {deciding.print.print_no} was printed"
        f"{f' ({named})' if named else ''}: what was signed is not what stands on record. "
        f"Print it again to be signed. {KEEP}"
    )


def _examined(
    deciding: Deciding, report: ConditionReport, line: SignatureWords
) -> Callable[[Hand], Any]:
    """The line of one who examined: the first such hand signs as author, the others beside it."""
    at = deciding.writer.at

    def deed(hand: Hand) -> None:
        if hand.person.full_name != line.name:
            text = f"This line is for {line.name}, who examined the object: nobody signs for them."
            raise Refused(Reason(text, "person", "signing.examiner"))
        report.refresh_from_db()
        if not report.signed:
            sign_report(report=report, hand=hand, at=at)
            return
        for one in signatures_of(report):
            if one.person_id == hand.person.pk and one.capacity == SignCapacity.AUTHOR:
                text = f"{hand.person} has signed this version as its author already."
                raise Refused(Reason(text, "person", "signing.twice"))
        countersign_report(report=report, capacity=SignCapacity.CO_AUTHOR, hand=hand, at=at)

    return deed


def _second(deciding: Deciding, report: ConditionReport) -> Callable[[Hand], Any]:
    part_a = report.kind == ReportKind.DEINSTALL_AT_CASE
    capacity = SignCapacity.COUNTERSIGNED if part_a else SignCapacity.SECOND_READER

    def deed(hand: Hand) -> None:
        countersign_report(report=report, capacity=capacity, hand=hand, at=deciding.writer.at)

    return deed
