"""What of an incident cannot wait: somebody has to come now, or an object is not to be found."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from lifecycle.actions.work.alarms import hazard_words, tell_at_once, tell_conservators
from lifecycle.process.stages import Role
from lifecycle.queries.telling import holders
from lifecycle.records.models import Incident, MuseumObject

MISSING: Final = "theft-or-missing"
"""The code of the starting vocabulary for an object that is not where it should be."""


def tell_of_incident(row: Incident, objects: Sequence[MuseumObject], at: datetime) -> None:
    """Tell the conservators of 'act now', the registrars of an object that is missing."""
    where = f" in {row.place.name}" if row.place is not None else ""
    what = ", ".join(thing.object_number for thing in objects) or "no object named"
    named = "\n".join(f"{thing.object_number}, {thing.title}" for thing in objects)
    body = (
        f"{row.reporter.full_name} reported incident {row.incident_no}, {row.kind.label}{where}."
        f"\n\n{row.circumstances}\n\n{named}"
    ).strip()
    if row.act_now:
        tell_conservators(
            key=f"incident/{row.incident_no}/act-now",
            subject=f"Act now: {row.kind.label}{where}, {what}",
            body=(
                f"{body}\n\nNothing is tidied before a photograph unless danger grows."
                f"{hazard_words(thing.pk for thing in objects)}"
            ),
            why="an incident was flagged ‘act now’",
            page="incident",
            uid=row.uid,
            at=at,
        )
    if row.kind.code == MISSING:
        tell_at_once(
            people=holders([Role.REGISTRAR], at),
            key=f"incident/{row.incident_no}/missing",
            subject=f"Missing: {what}",
            body=body,
            why="you are registrar and an object was reported missing",
            page="incident",
            uid=row.uid,
            at=at,
        )
