"""Enter past showings of many objects from one table of old files, as estimates."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from lifecycle.actions.light.charging import enter_past_light
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.light.past_lines import PastLine, what_past_lines_mean
from lifecycle.records.models import LightEntry, Person


@transaction.atomic
def enter_past_list(
    *, by: Person, role: Role, at: datetime, lines: Sequence[PastLine]
) -> list[LightEntry]:
    """Enter the good lines of a table, all or none; what was entered before is passed over.

    :raises Refused: no line is good, or the account refuses one: each reason with its line
    """
    written, reasons = [], []
    for meant in what_past_lines_mean(lines, at):
        if not meant.good or meant.face is None or meant.from_at is None or meant.until_at is None:
            continue
        low, likely, high = meant.line.dose
        try:
            entry = enter_past_light(
                by=by,
                role=role,
                at=at,
                face=meant.face,
                from_at=meant.from_at,
                until_at=meant.until_at,
                low=low,
                likely=likely,
                high=high,
                basis=meant.line.basis,
                source=meant.line.source,
            )
        except Refused as refused:
            number = meant.line.number
            reasons += [Reason(f"Line {number}: {one.text}") for one in refused.reasons]
        else:
            written.append(entry)
    if not written and not reasons:
        reasons.append(Reason("No line can be entered: mend the table and bring it again."))
    if reasons:
        raise Refused(reasons)
    return written
