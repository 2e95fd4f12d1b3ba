"""A line of a sheet that somebody signed by hand: whose hand it is, and what it signs."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

from lifecycle.actions.reading_back.deciding import SHEET, Deciding
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import Hand, on_paper
from lifecycle.papers.sheets.asked import NAME, WHEN
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed, SubjectFacts, role_serving
from lifecycle.queries.rights import person_facts
from lifecycle.queries.signed_text.lines import moment_in_words
from lifecycle.records.models import Person

#: What is told with each reason why a hand does not count.
KEEP: Final = "Leave the signature out to keep the sheet without it."
#: How many differences are named beside the line; the print's own page shows all.
NAMED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedLine:
    """One line to sign: its name on the sheet, its capacity as printed, and what a hand does.

    ``right`` about ``about`` is what the person must hold; ``record`` is named in the answer.
    """

    row: str
    capacity: str
    deed: Callable[[Hand], Any]
    right: Deed
    about: SubjectFacts
    record: str


def take_hand(deciding: Deciding, line: SignedLine) -> None:
    """Sign by the hand on this line; what stands against it is said beside name or time."""
    hand = _hand(deciding, line)
    if hand is None:
        return
    key = f"{line.row}.{NAME}"
    places = {"scan": "scan", "signed_at": f"{line.row}.{WHEN}"}
    try:
        line.deed(hand)
    except NotAllowed as refused:
        deciding.refuse(str(refused), key)
    except Refused as refused:
        deciding.reasons += [
            replace(one, field=places.get(one.field, key)) for one in refused.reasons
        ]
    else:
        when = moment_in_words(hand.signed_at or deciding.writer.observed_at)
        deciding.note(line.row, line.capacity, f"{hand.person.full_name}, {when}", "", SHEET)
        deciding.targets.append(f"{line.record}, signed by {hand.person.full_name}")


def _hand(deciding: Deciding, line: SignedLine) -> Hand | None:
    writer = deciding.writer
    person = _person(deciding, f"{line.row}.{NAME}")
    signed_at = deciding.moment(f"{line.row}.{WHEN}") or writer.observed_at
    if before(signed_at, deciding.print.printed_at):
        text = f"The sheet was printed {moment_in_words(deciding.print.printed_at)}, after that."
        deciding.refuse(text, f"{line.row}.{WHEN}")
        return None
    if person is None:
        return None
    role = role_serving(person_facts(person, writer.at), line.right, line.about)
    if role is None:
        text = f"{person.full_name} has no role in which they may sign here."
        deciding.refuse(text, f"{line.row}.{NAME}")
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
