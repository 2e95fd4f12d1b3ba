"""A case was opened: kept with its reason, so that a change can be set against it years later."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.rights import about_place
from lifecycle.records.models import CaseOpening, Person, Place, WhyOpened


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """One opening. Humidity in percent; minutes it stood open."""

    why: WhyOpened
    opened_at: datetime
    opened_by: Person
    open_minutes: int | None = None
    rh_before: Decimal | None = None
    rh_after: Decimal | None = None
    note: str = ""


@transaction.atomic
def record_opening(
    *, place: Place, opening: Opening, by: Person, role: Role, at: datetime
) -> CaseOpening:
    """Keep that a case was opened; never changed afterwards.

    :raises NotAllowed: if this role may report nothing here
    :raises Refused: no case, a time to come, humidity beyond 0 to 100, 'other' without a word
    """
    allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at, about=about_place(place))
    reasons = []
    if place.kind != PlaceKind.CASE:
        text = f"{place} is a {place.get_kind_display()}: openings are kept of cases."
        reasons.append(Reason(text, code="opening.case"))
    if opening.opened_at > at:
        reasons.append(Reason("That time is still to come.", "opened_at", "opening.when"))
    for name in ("rh_before", "rh_after"):
        value = getattr(opening, name)
        if value is not None and not 0 <= value <= 100:
            text = "Relative humidity runs from 0 to 100 %."
            reasons.append(Reason(text, name, "opening.rh"))
    if opening.why is WhyOpened.OTHER and not opening.note.strip():
        reasons.append(Reason("Say in the note what it was opened for.", "note", "opening.why"))
    if reasons:
        raise Refused(reasons)
    return CaseOpening(
        place=place,
        why=opening.why,
        note=opening.note.strip(),
        opened_at=opening.opened_at,
        open_minutes=opening.open_minutes,
        opened_by=opening.opened_by,
        rh_before=opening.rh_before,
        rh_after=opening.rh_after,
        entered_at=at,
        entered_by=by,
    ).append()
