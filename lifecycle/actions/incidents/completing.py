"""Complete an incident: made safe, statements, who was told, the report."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object
from lifecycle.records.models import (
    ConditionReport,
    Document,
    Incident,
    IncidentStatement,
    IncidentTold,
    Person,
)
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom


@dataclass(frozen=True, slots=True, kw_only=True)
class Completion:
    """What was done and found out since the first report."""

    made_safe_what: str = ""
    made_safe_by: Person | None = None
    made_safe_at: datetime | None = None
    condition_report: ConditionReport | None = None
    severity: IncidentSeverity | None = None
    cause: str = ""
    lesson: str = ""


def open_incident(incident: Incident) -> Incident:
    """Return the incident locked for writing; refuse a closed one."""
    row = Incident.objects.select_for_update(of=("self",)).get(pk=incident.pk)
    if row.closed_at is not None:
        raise Refused(f"{row.incident_no} is closed; start a new one for anything further.")
    return row


def allow_incident(incident: Incident, *, by: Person, role: Role, at: datetime) -> None:
    """Whoever may report an event on its objects may add to it."""
    lines = list(incident.lines.select_related("museum_object__current_location"))
    for line in lines:
        about = about_object(line.museum_object)
        allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at, about=about)
    if not lines:
        allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at)


@transaction.atomic
def complete_incident(
    *, by: Person, role: Role, at: datetime, incident: Incident, said: Completion
) -> Incident:
    """Write what was done: made safe, severity, the report, cause and lesson.

    :raises Refused: a closed incident, moments that can't be, a report of another object
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    row = open_incident(incident)
    reasons = []
    safe = said.made_safe_at
    if safe is not None and (before(safe, row.discovered_at) or safe > at):
        text = "It was made safe after it was found and not in the future."
        reasons.append(Reason(text, "made_safe_at", "incident.safe"))
    if said.made_safe_at is not None and not said.made_safe_what.strip():
        text = "Say what was done to make it safe."
        reasons.append(Reason(text, "made_safe_what", "incident.safe"))
    report = said.condition_report
    if report is not None and not row.lines.filter(museum_object=report.museum_object_id).exists():
        text = f"{report.report_no} is about another object."
        reasons.append(Reason(text, "condition_report", "incident.report"))
    if reasons:
        raise Refused(reasons)
    row.made_safe_what = said.made_safe_what.strip()
    row.made_safe_by = said.made_safe_by or (by if said.made_safe_at else None)
    row.made_safe_at, row.condition_report = said.made_safe_at, report
    row.severity = said.severity.value if said.severity else ""
    row.cause, row.lesson = said.cause.strip(), said.lesson.strip()
    return row.keep(by=by, role=role, why="incident completed", at=at)


@transaction.atomic
def add_statement(
    *,
    by: Person,
    role: Role,
    at: datetime,
    incident: Incident,
    person: Person,
    text: str,
    observed_at: datetime | None = None,
) -> IncidentStatement:
    """Keep what one person said, in their words; it is never edited.

    :raises Refused: a closed incident, or no words
    """
    allow_incident(incident, by=by, role=role, at=at)
    row = open_incident(incident)
    if not text.strip():
        raise Refused(Reason("Write what the person said.", "text", "incident.words"))
    return IncidentStatement(
        incident=row,
        person=person,
        text=text.strip(),
        observed_at=observed_at,
        entered_at=at,
        entered_by=by,
    ).append()


@transaction.atomic
def tell(
    *,
    by: Person,
    role: Role,
    at: datetime,
    incident: Incident,
    whom: ToldWhom,
    name: str,
    how: str,
    told_at: datetime,
    document: Document | None = None,
) -> IncidentTold:
    """Keep who was told, how and when.

    :raises Refused: a closed incident, nobody named, a moment before it was found or ahead
    """
    allow_incident(incident, by=by, role=role, at=at)
    row = open_incident(incident)
    reasons = []
    if not name.strip():
        reasons.append(Reason("Name who was told.", "name", "incident.told"))
    if not how.strip():
        reasons.append(Reason("Say how: by telephone, by letter …", "how", "incident.told"))
    if before(told_at, row.discovered_at) or told_at > at:
        text = "They were told after it was found and not in the future."
        reasons.append(Reason(text, "told_at", "incident.told"))
    if reasons:
        raise Refused(reasons)
    return IncidentTold(
        incident=row,
        whom=whom.value,
        name=name.strip(),
        how=how.strip(),
        told_at=told_at,
        told_by=by,
        entered_at=at,
        document=document,
    ).append()
