"""What became of a print: it came back, it is lost, or it is void."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from lifecycle.actions.papers_out.allowed import TO_READ_BACK, allow_one_of
from lifecycle.actions.pictures import store_document
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import locked_prints, objects_of
from lifecycle.queries.signed_text.lines import moment_in_words
from lifecycle.records.models import (
    Document,
    Person,
    Print,
    PrintReturn,
    PrintWriteOff,
    WrittenOff,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Return:
    """What stands on the sheets that came back: who wrote, when, and the scan of them.

    `first_seen` says that the earlier return of a print was looked at and this is another one.
    """

    written_by_name: str
    observed_at: datetime
    written_by: Person | None = None
    scan: bytes | None = None
    scan_name: str = ""
    no_scan_because: str = ""
    original_kept_at: str = ""
    note: str = ""
    first_seen: bool = False
    kept_scan: Document | None = None
    written: Sequence[Mapping[str, str]] = ()
    taken: Sequence[Mapping[str, str]] = ()


@transaction.atomic
def mark_back(
    *, by: Person, role: Role, at: datetime, prints: Sequence[Print], details: Return
) -> list[PrintReturn]:
    """Note that prints came back; the time on the sheet is the observed time.

    ``kept_scan`` is a scan that was kept already; ``written`` and ``taken`` come from reading one
    sheet back line by line.

    :raises NotAllowed: the role may not read these back
    :raises Refused: no print, no name, neither scan nor reason, a time to come or before the
        printing, or a second return whose first was not looked at
    """
    rows = locked_prints(prints)
    _allow(by, role, at, rows, "read back these prints")
    if reasons := return_faults(rows, details, at):
        raise Refused(reasons)
    scan = keep_scan(by=by, role=role, at=at, rows=rows, details=details)
    return [
        PrintReturn(
            print=row,
            nth=row.returns.count() + 1,
            written_by_name=details.written_by_name.strip(),
            written_by=details.written_by,
            observed_at=details.observed_at,
            entered_by=by,
            entered_role=role,
            entered_at=at,
            scan=scan,
            no_scan_because="" if scan else details.no_scan_because.strip(),
            original_kept_at=details.original_kept_at.strip(),
            note=details.note.strip(),
            written=[dict(line) for line in details.written],
            taken=[dict(line) for line in details.taken],
        ).append()
        for row in rows
    ]


def keep_scan(
    *, by: Person, role: Role, at: datetime, rows: Sequence[Print], details: Return
) -> Document | None:
    """The scan of sheets that came back: the one that is kept already, else that which came along.

    :raises Refused: beside the scan, when it is none
    """
    if details.scan is None:
        return details.kept_scan
    numbers = ", ".join(row.print_no for row in rows)
    return store_document(
        data=details.scan,
        name=details.scan_name,
        title=f"Scan of {numbers}",
        by=by,
        role=role,
        at=at,
        field="scan",
    )


def return_faults(rows: Sequence[Print], details: Return, at: datetime) -> list[Reason]:
    """What stands against noting this return, each beside its field."""
    reasons = []
    if not rows:
        reasons.append(Reason("Choose at least one print that came back.", "prints"))
    if not details.written_by_name.strip():
        reasons.append(
            Reason("Write the full name of the person who wrote on the sheet.", "written_by_name")
        )
    has_scan = details.scan is not None or details.kept_scan is not None
    if not has_scan and not details.no_scan_because.strip():
        reasons.append(
            Reason("Add a scan or a photograph of the sheet, or say why there is none.", "scan")
        )
    if has_scan and details.no_scan_because.strip():
        reasons.append(
            Reason("There is a scan, so leave the reason for having none empty.", "no_scan_because")
        )
    if details.observed_at > at:
        reasons.append(Reason("The time on the sheet is still to come.", "observed_at"))
    for row in rows:
        if before(details.observed_at, row.printed_at):
            reasons.append(
                Reason(
                    f"{row.print_no} was printed {moment_in_words(row.printed_at)}, after the "
                    "time given: write the time that stands on the sheet.",
                    "observed_at",
                )
            )
        first = row.returns.order_by("nth").first()
        if first is not None and not details.first_seen:
            reasons.append(
                Reason(
                    f"{row.print_no} came back already, written by {first.written_by_name} "
                    f"{moment_in_words(first.observed_at)}. Look at that return; if this is "
                    "another sheet, say so, and it is kept beside the first.",
                    "first_seen",
                    "paper.second_return",
                )
            )
    return reasons


@transaction.atomic
def write_off(
    *,
    by: Person,
    role: Role,
    at: datetime,
    prints: Sequence[Print],
    state: WrittenOff,
    reason: str,
) -> list[PrintWriteOff]:
    """Mark prints as lost or void, all with one reason; they are no longer expected back.

    :raises NotAllowed: the role may not do this here
    :raises Refused: no print, no reason, or a print that came back or is written off already
    """
    rows = locked_prints(prints)
    _allow(by, role, at, rows, f"mark these prints as {state.label}")
    reasons = []
    if not rows:
        reasons.append(Reason("Choose at least one print.", "prints"))
    if not reason.strip():
        reasons.append(Reason(f"Say why the prints are {state.label}.", "reason"))
    for row in rows:
        if row.returns.exists():
            reasons.append(Reason(f"{row.print_no} came back: it is not {state.label}.", "prints"))
        earlier = PrintWriteOff.objects.filter(print=row).first()
        if earlier is not None:
            reasons.append(
                Reason(
                    f"{row.print_no} is marked as {WrittenOff(earlier.state).label} already: "
                    f"{earlier.reason}",
                    "prints",
                )
            )
    if reasons:
        raise Refused(reasons)
    return [
        PrintWriteOff(
            print=row, state=state, reason=reason.strip(), by=by, role=role, at=at
        ).append()
        for row in rows
    ]


def _allow(by: Person, role: Role, at: datetime, rows: Sequence[Print], what: str) -> None:
    allow_one_of(by=by, role=role, deeds=TO_READ_BACK, at=at, objects=objects_of(rows), what=what)
