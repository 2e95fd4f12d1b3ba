"""Close an incident once everything it needs is on record."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.incidents.completing import open_incident
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.records.models import Incident, Person
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom


@transaction.atomic
def close_incident(*, by: Person, role: Role, at: datetime, incident: Incident) -> Incident:
    """Close the incident; its hold is lifted separately, by its own written decision.

    :raises Refused: with everything that is missing: made safe, severity, report, cause, the
        lender told
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    row = open_incident(incident)
    lines = list(row.lines.select_related("museum_object__lender").order_by("pk"))
    reasons = []
    if row.made_safe_at is None:
        text = f"{row.incident_no}: say what made it safe, by whom and when."
        reasons.append(Reason(text, "made_safe_what", "incident.safe"))
    if not row.severity:
        reasons.append(
            Reason(f"{row.incident_no}: give the severity.", "severity", "incident.severity")
        )
    if not row.cause.strip():
        text = f"{row.incident_no}: give the cause, or write that it is not known."
        reasons.append(Reason(text, "cause", "incident.cause"))
    changed = row.severity not in ("", IncidentSeverity.NO_CHANGE_SEEN.value)
    report = row.condition_report
    if lines and changed and (report is None or not report.signed):
        text = f"{row.incident_no}: a change was seen, so a signed condition report belongs to it."
        reasons.append(Reason(text, "condition_report", "incident.report"))
    told = set(row.told.values_list("whom", flat=True))
    lent = [line.museum_object for line in lines if line.museum_object.lender_id]
    if lent and ToldWhom.OWNER_OR_LENDER.value not in told:
        text = f"{row.incident_no}: {lent[0].lender} has to be told, and it has to be on record."
        reasons.append(Reason(text, "whom", "incident.lender"))
    if reasons:
        raise Refused(reasons)
    row.closed_by, row.closed_at = by, at
    return row.keep(by=by, role=role, why="incident closed", at=at)
