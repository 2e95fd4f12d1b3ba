"""Undo the last thing that was written about a finding in a draft; history keeps both."""

from datetime import datetime
from typing import Any, Final

from django.db import transaction

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.condition.findings import is_only_record, name_feature
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState
from lifecycle.records.models.condition import Observation
from lifecycle.records.models.people import Person

#: What one answer writes; the feature and its number are never undone.
ANSWERED: Final = (
    *("term_id", "state", "layer", "zone", "clock_position", "severity", "activity", "note"),
    *("box_left", "box_top", "box_width", "box_height", "selector", "marked_on_id"),
    *("length_mm", "width_mm", "count", "seen_in_id", "picture_id", "taken_back"),
)


@transaction.atomic
def undo_finding(
    *, observation: Observation, revision: int, by: Person, role: Role, at: datetime
) -> Observation:
    """Put a finding back to what it said before its last change, taken back or not.

    Undone twice, it is done again: the last change is then the undoing itself. A first record that
    was never changed is taken back; its number is not used again.

    :raises Conflict: if somebody changed it meanwhile
    :raises Refused: a known feature that nobody has answered in this report yet
    """
    open_draft(observation.report, by=by, role=role, at=at)
    kept = (
        Observation.objects.select_for_update(of=("self",))
        .select_related("feature", "term", "written_by")
        .get(pk=observation.pk)
    )
    if kept.revision != revision:
        raise _changed(kept)
    entries = Observation.history.filter(id=kept.pk).order_by("-history_date", "-history_id")
    before: Any = next((row for row in entries if row.revision < kept.revision), None)
    if before is None and kept.state != FeatureState.FIRST_RECORD:
        text = f"F{kept.feature.number} has not been answered in this report: nothing to undo."
        raise Refused(Reason(text, code="condition.nothing_to_undo"))
    if before is None:
        kept.taken_back = True
    else:
        for name in ANSWERED:
            setattr(kept, name, getattr(before, name))
    kept.revision += 1
    kept.written_by, kept.written_at = by, at
    kept.keep(by=by, role=role, why="last change undone", at=at)
    if is_only_record(kept):
        name_feature(kept, by=by, role=role, at=at)
    return kept


def _changed(kept: Observation) -> Conflict:
    text = (
        f"{kept.written_by} changed F{kept.feature.number} after you did: "
        "look at it before you undo anything."
    )
    said = {
        "Term": kept.term.label,
        "State": FeatureState(kept.state).label,
        "Note": kept.note,
    }
    return Conflict(text, theirs=said, mine={}, by=kept.written_by.full_name, version=kept.revision)
