"""A filled incident report: what else was seen, how it was made safe, who was told."""

from lifecycle.actions.incidents import Completion, add_statement, complete_incident, tell
from lifecycle.actions.reading_back.deciding import RECORD, SHEET, Deciding, as_printed
from lifecycle.actions.refusals import Refused
from lifecycle.papers.words.incident_report import IncidentReportWords
from lifecycle.process.rights import Deed, may
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import Incident
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom


def take_incident(deciding: Deciding, incident: Incident, words: IncidentReportWords) -> None:
    """Add what the sheet says; a closed incident keeps it beside the return alone."""
    deciding.targets.append(str(incident))
    if incident.closed_at is not None:
        text = f"{incident} is closed: start a new one for anything further"
        deciding.note("incident", "Incident", str(incident), text, RECORD)
        return
    _statement(deciding, incident)
    _made_safe(deciding, incident)
    for whom in words.tell:
        _told(deciding, incident, whom)


def _statement(deciding: Deciding, incident: Incident) -> None:
    """What the finder wrote is a statement in their own words; it needs a person on record."""
    written, who = deciding.text("statement"), deciding.writer.written_by
    if not written:
        return
    if who is None:
        deciding.refuse(
            "A statement is kept under a person on record: name who wrote on the sheet above.",
            "statement",
        )
        return
    if incident.statements.filter(person=who, text=written).exists():
        return
    add_statement(
        incident=incident,
        person=who,
        text=written,
        observed_at=deciding.writer.observed_at,
        **deciding.writer.signed,
    )
    deciding.note("statement", "What else is seen", written, "", SHEET)


def _made_safe(deciding: Deciding, incident: Incident) -> None:
    written, cause = deciding.text("made_safe"), deciding.text("cause")
    if not written and not cause:
        return
    writer = deciding.writer
    if not may(person_facts(writer.by, writer.at), Deed.EXAMINE, role=writer.role):
        text = "a conservator writes it into the record"
        deciding.note("made_safe", "Made safe, cause", written or cause, text, RECORD)
        return
    then = as_printed(incident, deciding.print.printed_at)
    safe_at, what, why = incident.made_safe_at, incident.made_safe_what, incident.cause
    before = then.made_safe_what if then else None
    if deciding.wants("made_safe", "Made safe", written, incident.made_safe_what, before):
        what = written
        safe_at = deciding.moment("safe_at") or writer.observed_at
    if deciding.wants("cause", "Cause", cause, incident.cause, then.cause if then else None):
        why = cause
    if (safe_at, what, why) == (incident.made_safe_at, incident.made_safe_what, incident.cause):
        return
    try:
        complete_incident(
            incident=incident,
            said=Completion(
                made_safe_what=what,
                made_safe_by=incident.made_safe_by or writer.written_by,
                made_safe_at=safe_at,
                condition_report=incident.condition_report,
                severity=IncidentSeverity(incident.severity) if incident.severity else None,
                cause=why,
                lesson=incident.lesson,
            ),
            **writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, "made_safe")


def _told(deciding: Deciding, incident: Incident, label: str) -> None:
    row = f"told.{label}"
    name, how = deciding.text(f"{row}.name"), deciding.text(f"{row}.how")
    if not name and not how:
        return
    told_at = deciding.moment(f"{row}.at")
    whom = next(one for one in ToldWhom if one.label == label)
    if incident.told.filter(whom=whom, name=name).exists():
        return
    try:
        tell(
            incident=incident,
            whom=whom,
            name=name,
            how=how,
            told_at=told_at or deciding.writer.observed_at,
            **deciding.writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, f"{row}.name")
    else:
        deciding.note(row, f"Told: {label}", f"{name}, {how}", "", SHEET)
