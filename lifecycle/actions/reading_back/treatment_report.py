"""A treatment report signed by hand: its signatures count, with the sheet as their evidence."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Final

from lifecycle.actions.reading_back.by_hand import KEEP, NAMED, SignedLine, take_hand
from lifecycle.actions.reading_back.deciding import RECORD, Deciding
from lifecycle.actions.refusals import Reason
from lifecycle.actions.treatment.reporting import co_sign, second_read, sign_report
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.papers.sheets.asked import NAME
from lifecycle.papers.sheets.treatment_report import (
    PUT_RIGHT,
    READ_AGAINST_LOG,
    SEE_LINES,
    SIGNED,
    lines_to_sign,
)
from lifecycle.papers.stamped import faults_of_print
from lifecycle.papers.words.stored import differences
from lifecycle.papers.words.treatment_report import (
    AUTHOR,
    CO_AUTHOR,
    SECOND_READER,
    TreatmentReportWords,
)
from lifecycle.process.rights import NOTHING, Deed
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import TreatmentReport

#: Which deed a line asks of its hand, and which right that takes.
_DEEDS: Final[dict[str, tuple[Callable[..., Any], Deed]]] = {
    AUTHOR: (sign_report, Deed.TREAT),
    CO_AUTHOR: (co_sign, Deed.TREAT),
    SECOND_READER: (second_read, Deed.EXAMINE),
}


def take_treatment_report(
    deciding: Deciding, report: TreatmentReport, words: TreatmentReportWords
) -> None:
    """Take the signatures of a sheet whose text is still what stands on record.

    A sheet that wants something put right signs nothing, and is kept beside its print. The
    signatures are read in the order of the sheet, so that the author's freezes the report first.
    """
    wants = deciding.text(PUT_RIGHT) or SEE_LINES in deciding.ticked(READ_AGAINST_LOG)
    if wants:
        text = "write it into the report, and print it again to be signed"
        said = deciding.text(PUT_RIGHT) or SEE_LINES
        deciding.note(PUT_RIGHT, "What is to be put right", said, text, RECORD)
    signed = [
        (f"{SIGNED}.{at}", line.capacity)
        for at, line in enumerate(lines_to_sign(words))
        if deciding.says_anything(f"{SIGNED}.{at}.")
    ]
    against = list(_against(deciding, report, words, put_right=bool(wants))) if signed else []
    for row, capacity in signed:
        if against:
            deciding.reasons += [Reason(text, f"{row}.{NAME}", "paper.signed") for text in against]
        else:
            take_hand(deciding, _line(deciding, report, row, capacity))


def _against(
    deciding: Deciding, report: TreatmentReport, words: TreatmentReportWords, *, put_right: bool
) -> Iterator[str]:
    """Why a hand below this sheet is none below the record as it stands."""
    if put_right:
        yield f"The sheet says what is to be put right: it is not signed as it is. {KEEP}"
    yield from faults_of_print(deciding.print)
    now = treatment_report_words(report, deciding.print.printed_at)
    # Who has signed meanwhile, and the card of the object, are no part of what was read.
    of_record = {
        name: getattr(now, name)
        for name in ("institution", "about", "signed", "signed_by", "signatures", "still_to_sign")
    }
    changed = differences(replace(words, **of_record), now)
    if changed:
        named = "; ".join(name for name, _, _ in changed[:NAMED])
        yield (
            f"The report was changed after {deciding.print.print_no} was printed ({named}): what "
            f"was signed is not what stands on record. Print it again to be signed. {KEEP}"
        )


def _line(deciding: Deciding, report: TreatmentReport, row: str, capacity: str) -> SignedLine:
    deed, right = _DEEDS[capacity]
    showing = report.proposal.showing
    about = NOTHING if showing is None or right is Deed.EXAMINE else about_showing(showing)
    return SignedLine(
        row=row,
        capacity=capacity,
        deed=lambda hand: deed(hand=hand, at=deciding.writer.at, report=report),
        right=right,
        about=about,
        record=f"the report on {report.proposal.proposal_no}",
    )
