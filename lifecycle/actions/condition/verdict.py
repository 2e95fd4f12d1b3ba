"""A person's verdict on one changed or new feature; the interval beside it is computed."""

from datetime import datetime, tzinfo

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.draft import about_report
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.condition.dating import Dating, dating
from lifecycle.queries.condition.known import CHANGED
from lifecycle.records.models.condition import ChangeVerdict, Observation
from lifecycle.records.models.incidents import Incident
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person

NEVER_SEEN_UNCHANGED = "never seen unchanged on record"


@transaction.atomic
def give_verdict(
    *,
    observation: Observation,
    verdict: str,
    by: Person,
    role: Role,
    at: datetime,
    cause: str = "",
    incident_needed: bool = False,
    incident: Incident | None = None,
) -> ChangeVerdict:
    """Answer a change: the computed interval is stored with the words of the conservator.

    A later verdict is a further row; the earlier stays.

    :raises Refused: the feature has not changed, no words, an incident about another object
    """
    kept = Observation.objects.select_related(
        "feature__face", "report__museum_object", "report__showing__museum_object"
    ).get(pk=observation.pk)
    report = kept.report
    MuseumObject.objects.select_for_update().get(pk=report.museum_object_id)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_report(report))
    reasons = []
    if kept.state not in CHANGED or kept.taken_back:
        text = f"F{kept.feature.number} has not changed in {report}: there is nothing to answer."
        reasons.append(Reason(text, code="condition.unchanged"))
    if not verdict.strip():
        text = "Write what you conclude; “not known” is an answer."
        reasons.append(Reason(text, "verdict", "condition.verdict"))
    if (
        incident is not None
        and not incident.lines.filter(museum_object=report.museum_object_id).exists()
    ):
        text = f"Incident {incident} is not about {report.museum_object}."
        reasons.append(Reason(text, "incident", "condition.incident"))
    if reasons:
        raise Refused(reasons)
    answer = dating(kept)
    zone = museum_zone()
    last = answer.last_unchanged
    return ChangeVerdict(
        observation=kept,
        last_unchanged_at=last.at if last else None,
        last_unchanged_source=last.source if last else NEVER_SEEN_UNCHANGED,
        last_unchanged_report=last.report if last else None,
        first_changed_at=answer.first_changed.at,
        first_changed_report=answer.first_changed.report or report,
        did_not_look=_lines_of_looks(answer, zone),
        between="\n".join(_line(event.at, event.what, zone) for event in answer.between),
        verdict=verdict.strip(),
        cause=cause.strip(),
        incident_needed=incident_needed or incident is not None,
        incident=incident,
        by=by,
        role=role,
        at=at,
    ).append()


def _line(at: datetime, what: str, zone: tzinfo) -> str:
    """Moments are written as the museum's clock showed them, since people read the lines."""
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M} {what}"


def _lines_of_looks(answer: Dating, zone: tzinfo) -> str:
    return "\n".join(
        _line(look.at, f"{look.source}{': ' + look.hint if look.hint else ''}", zone)
        for look in answer.did_not_look
    )
