"""Small words about a showing that no move needs: its position, and that it may stand alone."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves import lock_showing
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import BEFORE_DISPLAY, Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import Person, Place, Showing


@transaction.atomic
def plan_place(*, showing_id: int, place: Place, by: Person, role: Role, at: datetime) -> Showing:
    """Name the position an object is planned for; possible until it is installed.

    :raises Refused: not before display, no position or case, or a closed place
    """
    showing = lock_showing(showing_id)
    allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about_showing(showing))
    number = showing.museum_object.object_number
    reasons = []
    if showing.stage not in BEFORE_DISPLAY:
        text = f"{number} has been installed: take it down before it gets another position."
        reasons.append(Reason(text, code="place.shown"))
    if place.kind not in (PlaceKind.POSITION, PlaceKind.CASE):
        text = f"{place.name} is no position and no case: choose where {number} will lie."
        reasons.append(Reason(text, field="place", code="place.kind"))
    if place.closed_on is not None:
        text = f"{place.name} is closed: choose another place for {number}."
        reasons.append(Reason(text, field="place", code="place.closed"))
    if reasons:
        raise Refused(reasons)
    showing.place = place
    return showing.keep(
        by=by, role=role.value, why=f"Planned for {place.name}", at=at, fields=["place"]
    )


@transaction.atomic
def let_stand_alone(*, showing_id: int, note: str, by: Person, role: Role, at: datetime) -> Showing:
    """The curator's word that an object may be shown without its companion, with the reason."""
    showing = lock_showing(showing_id)
    allow(by=by, role=role, deed=Deed.CHOOSE, at=at, about=about_showing(showing))
    if not note.strip():
        text = f"Say why {showing.museum_object.object_number} may stand alone."
        raise Refused(Reason(text, field="note"))
    showing.stands_alone_note, showing.stands_alone_by = note.strip(), by
    return showing.keep(
        by=by,
        role=role.value,
        why="May stand alone",
        at=at,
        fields=["stands_alone_note", "stands_alone_by"],
    )
