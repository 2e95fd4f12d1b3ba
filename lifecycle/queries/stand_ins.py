"""What stands beside an object on show: facsimiles of its hidden faces, and its companions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lifecycle.queries.display.companions import CompanionLine, companions_in
from lifecycle.queries.worked_back import StandIn, stand_ins_of
from lifecycle.records.models.showings import Showing


@dataclass(frozen=True, slots=True)
class StandingBeside:
    """For the page of a showing; both empty where nothing is hidden and nothing belongs with it."""

    hidden: Sequence[StandIn]
    companions: Sequence[CompanionLine]


def on_showing(showing: Showing, at: datetime) -> StandingBeside:
    """Return both, in at most twelve queries."""
    return StandingBeside(stand_ins_of(showing, at), companions_in(showing))
