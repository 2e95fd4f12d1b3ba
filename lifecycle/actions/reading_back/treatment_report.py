"""A treatment report signed by hand: its signatures count, with the sheet as their evidence."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Final

from lifecycle.actions.reading_back.deciding import RECORD, SHEET, Deciding
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.actions.signing import Hand, on_paper
from lifecycle.actions.treatment.reporting import co_sign, second_read, sign_report
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.papers.sheets.asked import NAME, WHEN
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
from lifecycle.process.minutes import before
from lifecycle.process.rights import NOTHING, Deed, role_serving
from lifecycle.queries.rights import about_showing, person_facts
from lifecycle.queries.signed_text.lines import moment_in_words
from lifecycle.records.models import Person, TreatmentReport

#: Which deed a line asks of its hand, and which right that takes.
_DEEDS: Final[dict[str, tuple[Callable[..., Any], Deed]]] = {
    AUTHOR: (sign_report, Deed.TREAT),
    CO_AUTHOR: (co_sign, Deed.TREAT),
    SECOND_READER: (second_read, Deed.EXAMINE),
}
#: How many differences are named beside the line; the print's own page shows all.
_NAMED = 3


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
            _sign(deciding, report, row, capacity)


def _against(
    deciding: Deciding, report: TreatmentReport, words: TreatmentReportWords, *, put_right: bool
) -> Iterator[str]:
    """Why a hand below this sheet is none below the record as it stands."""
    keep = "Leave the signature out to keep the sheet without it."
    if put_right:
        yield f"The sheet says what is to be put right: it is not signed as it is. {keep}"
    yield from faults_of_print(deciding.print)
    now = treatment_report_words(report, deciding.print.printed_at)
    # Who has signed meanwhile, and the card of the object, are no part of what was read.
    of_record = {
        name: getattr(now, name)
        for name in ("institution", "about", "signed", "signed_by", "signatures", "still_to_sign")
    }
    changed = differences(replace(words, **of_record), now)
    if changed:
        named = "; ".join(name for name, _, _ in changed[:_NAMED])
        yield (
            f"The report was changed after {deciding.print.print_no} was printed ({named}): what "
            f"was signed is not what stands on record. Print it again to be signed. {keep}"
        )


def _sign(deciding: Deciding, report: TreatmentReport, row: str, capacity: str) -> None:
    deed, right = _DEEDS[capacity]
    hand = _hand(deciding, report, row, right)
    if hand is None:
        return
    key = f"{row}.{NAME}"
    places = {"scan": "scan", "signed_at": f"{row}.{WHEN}"}
    try:
        deed(hand=hand, at=deciding.writer.at, report=report)
    except NotAllowed as refused:
        deciding.refuse(str(refused), key)
    except Refused as refused:
        deciding.reasons += [
            replace(one, field=places.get(one.field, key)) for one in refused.reasons
        ]
    else:
        when = moment_in_words(hand.signed_at or deciding.writer.observed_at)
        deciding.note(row, capacity, f"{hand.person.full_name}, {when}", "", SHEET)
        name = f"the report on {report.proposal.proposal_no}, signed by {hand.person.full_name}"
        deciding.targets.append(name)


def _hand(deciding: Deciding, report: TreatmentReport, row: str, right: Deed) -> Hand | None:
    writer = deciding.writer
    person = _person(deciding, f"{row}.{NAME}")
    signed_at = deciding.moment(f"{row}.{WHEN}") or writer.observed_at
    if before(signed_at, deciding.print.printed_at):
        text = f"The sheet was printed {moment_in_words(deciding.print.printed_at)}, after that."
        deciding.refuse(text, f"{row}.{WHEN}")
        return None
    if person is None:
        return None
    showing = report.proposal.showing
    about = NOTHING if showing is None or right is Deed.EXAMINE else about_showing(showing)
    role = role_serving(person_facts(person, writer.at), right, about)
    if role is None:
        text = f"{person.full_name} has no role in which they may sign here."
        deciding.refuse(text, f"{row}.{NAME}")
        return None
    return on_paper(
        person=person,
        role=role,
        scan=writer.scan,
        read_back_by=writer.by,
        read_back_role=writer.role,
        signed_at=signed_at,
        note=deciding.print.print_no,
    )


def _person(deciding: Deciding, key: str) -> Person | None:
    """The one person on record with the name that is written on the line."""
    name = deciding.text(key)
    if not name:
        deciding.refuse("There is a time beside this line: write who signed it.", key)
        return None
    writer = deciding.writer.written_by
    if writer is not None and writer.full_name.lower() == name.lower():
        return writer
    found = list(Person.objects.filter(full_name__iexact=name)[:2])
    if len(found) == 1:
        return found[0]
    several = "Several people are" if found else "Nobody is"
    text = f"{several} on record as “{name}”: write the full name as it stands under People"
    also = ", and name them above as who wrote on the sheet." if found else "."
    deciding.refuse(text + also, key)
    return None
