"""What would change the light of a showing: its faces reckoned again, one change after another."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lifecycle.planning.what_if import (
    Change,
    Outcome,
    highest_level,
    highest_words,
    if_promised,
    if_up,
)
from lifecycle.queries.light.checks import Reckoned, caps_of, faces_of, reckon, up_period
from lifecycle.queries.light.gathering import Gathered
from lifecycle.records.models import Face, Showing


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceWhatIf:
    """One face under each change; ``missing`` says in words why nothing can be reckoned."""

    face: Face
    outcomes: tuple[Outcome, ...]
    highest: str
    missing: tuple[str, ...]
    up: bool


def what_if_of(showing: Showing, at: datetime, changes: Sequence[Change]) -> list[FaceWhatIf]:
    """Return every face of a showing under every change, in a fixed number of queries."""
    gathered = Gathered([], at, showings=[showing])
    kept = gathered.showings[showing.pk]
    return [
        _one(gathered, kept, reckon(gathered, kept, face, None), changes)
        for face in faces_of(gathered, kept)
    ]


def _one(
    gathered: Gathered, showing: Showing, found: Reckoned, changes: Sequence[Change]
) -> FaceWhatIf:
    period = up_period(gathered, showing)
    up = period is not None and found.last is not None
    end = gathered.planned_end(period) if period is not None and up else showing.show_to
    caps = caps_of(gathered, showing, end) if up else None
    ref = str(showing.uid)
    outcomes: list[Outcome | None] = []
    if not found.missing:
        outcomes = [
            if_up(found.inputs, caps, change)
            if caps is not None
            else if_promised(found.inputs, found.own, ref, change)
            for change in changes
        ]
    known = tuple(one for one in outcomes if one is not None)
    highest = ""
    if known:
        dark = None if caps is None else if_up(found.inputs, caps, Change(label="", level=0))
        highest = highest_words(highest_level(found.inputs, found.own, ref, caps), end, dark)
    return FaceWhatIf(
        face=found.face, outcomes=known, highest=highest, missing=found.missing, up=up
    )
