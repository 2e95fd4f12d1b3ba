"""Take a running exhibition over from one table: seen first, then line by line in the worker."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.display.taking_over import Stated, faults_of, take_over
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.work.rows import ask
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.display.taking_over_lines import LineMeant, TakenLine, what_lines_mean
from lifecycle.queries.rights import about_exhibition, museum_day, person_facts
from lifecycle.records.models import Document, Exhibition, Person, Showing
from lifecycle.records.models.work import Work, WorkKind

Scans = Mapping[str, Document]
"""Scans of last reports by the file name in folded letters."""


def folded_name(name: str) -> str:
    """Return a file name as it is compared: without folders, in small letters."""
    return name.replace("\\", "/").rsplit("/", 1)[-1].strip().casefold()


def stated_of(meant: LineMeant, scans: Scans) -> Stated | None:
    """Return what a line states, or None while face or place are not known."""
    line = meant.line
    if meant.face is None or meant.place is None:
        return None
    between = meant.since_to is not None and meant.since_to != meant.since_from
    return Stated(
        face=meant.face,
        place=meant.place,
        to=line.stage,
        since_from=meant.since_from,
        since_to=meant.since_to if between else None,
        since_certainty=Certainty.BETWEEN if between else Certainty.DAY,
        light_low=line.light_low or 0,
        light_likely=line.light_likely or 0,
        light_high=line.light_high or 0,
        light_basis=line.light_basis,
        last_report=line.last_report,
        last_report_scan=scans.get(folded_name(line.scan)) if line.scan else None,
        no_report_known=not line.last_report,
        missing=meant.gaps,
        note=line.note,
    )


def faults_with(meant: LineMeant, scans: Scans, at: datetime) -> list[str]:
    """Return every reason why a line can't be taken over as it stands, in words."""
    faults = list(meant.faults)
    if meant.taken_over is not None:
        return faults
    if meant.line.scan and folded_name(meant.line.scan) not in scans:
        faults.append(f"The scan “{meant.line.scan}” was not brought: add the file.")
    said = stated_of(meant, scans)
    if said is not None and meant.museum_object is not None:
        told = [reason.text for reason in faults_of(meant.museum_object, said, at)]
        scan_missing = meant.line.scan and "Attach the scan of the last report." in told
        faults += [text for text in told if not (scan_missing and text.startswith("Attach the"))]
    return list(dict.fromkeys(faults))


def period_is_open(at: datetime) -> bool:
    """Whether the house rules in force let running displays be taken over on this day."""
    today = museum_day(at)
    rules = rules_in_force(today)
    return rules is not None and (rules.taking_over_until or today.min) >= today


@transaction.atomic
def ask_to_take_over(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    conservator: Person,
    lines: Sequence[TakenLine],
    scans: Scans,
) -> Work:
    """Put the good lines of a table on the worker's desk; bad ones are named in its results.

    :raises Refused: outside the taking-over period, without a good line or a conservator beside
    """
    allow(by=by, role=role, deed=Deed.REGISTER, at=at, about=about_exhibition(exhibition))
    reasons = []
    if not period_is_open(at):
        text = "The time for taking over what already hangs is past or not set in the house rules."
        reasons.append(Reason(text, code="takeover.period"))
    if Role.CONSERVATOR not in person_facts(conservator, at).roles:
        text = f"{conservator.full_name} holds no post as conservator today."
        reasons.append(Reason(text, "conservator", "say.second"))
    meant = what_lines_mean(lines, exhibition)
    faults = {one.line.number: faults_with(one, scans, at) for one in meant}
    if not any(not faults[one.line.number] and one.taken_over is None for one in meant):
        text = "No line can be taken over: mend the table and bring it again."
        reasons.append(Reason(text, code="takeover.lines"))
    if reasons:
        raise Refused(reasons)
    return ask(
        kind=WorkKind.TAKE_OVER,
        key=f"take-over/{exhibition.uid}/{at.isoformat()}",
        by=by,
        at=at,
        total=len(lines),
        inputs={
            "exhibition": str(exhibition.uid),
            "role": role.value,
            "conservator": str(conservator.uid),
            "lines": [{"number": line.number, "typed": dict(line.typed)} for line in lines],
            "scans": {name: str(document.uid) for name, document in scans.items()},
        },
    )


@transaction.atomic
def take_over_line(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    conservator: Person,
    line: TakenLine,
    scans: Scans,
) -> Showing:
    """Take one line of the table over; one that was done before is not done twice.

    :raises Refused: with every reason why it can't be
    """
    meant = what_lines_mean([line], exhibition)[0]
    if meant.taken_over is not None:
        return meant.taken_over
    said = stated_of(meant, scans)
    faults = faults_with(meant, scans, at)
    if faults or said is None or meant.museum_object is None:
        raise Refused([Reason(text) for text in faults])
    return take_over(
        by=by,
        role=role,
        at=at,
        exhibition=exhibition,
        museum_object=meant.museum_object,
        said=said,
        conservator=conservator,
    )
