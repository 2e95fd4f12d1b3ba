"""Swap two objects in one position: one out and carried off, the other in, in one visit."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from lifecycle.actions.display.installing import Seen, install
from lifecycle.actions.display.rotating import (
    Shown,
    finish_planned,
    show_again,
    start_rotation,
)
from lifecycle.actions.movements import hand_over
from lifecycle.actions.preparation.standing_in import take_facsimiles_out
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.process.stages import Stage
from lifecycle.records.models import (
    Appointment,
    Face,
    InstallCheck,
    Movement,
    Place,
    Showing,
    TurnRecord,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingIn:
    """The object that takes the place: a first install, or shown again after a rest."""

    showing: Showing
    face: Face
    seen: Seen | None = None
    shown: Shown | None = None


@transaction.atomic
def swap(
    *,
    one: Hand,
    other: Hand,
    at: datetime,
    going_out: Showing,
    coming_in: ComingIn,
    carried_off_with: Movement | None,
    done_at: datetime,
    started_at: datetime,
    appointment: Appointment | None = None,
    reason: str = "",
) -> tuple[TurnRecord, InstallCheck | TurnRecord]:
    """Take one object out of its position and put the other in.

    The one that goes out is compared before, handed over with its authorised movement, and stands
    in rotation until it is shown again or taken down. Facsimiles that stood beside it come out with
    it; those of the one that comes in are placed by its own half.

    :raises Refused: by either half; then nothing of the swap has happened
    """
    if going_out.pk == coming_in.showing.pk:
        raise Refused(Reason("An object is not swapped with itself.", "coming", "swap.same"))
    turn = start_rotation(
        one=one,
        other=other,
        at=at,
        showing=going_out,
        started_at=started_at,
        appointment=appointment,
        other_showing=coming_in.showing,
        reason=reason,
    )
    if carried_off_with is None:
        text = (
            f"Plan and authorise the movement that carries {going_out.museum_object.object_number} "
            "away, and choose it here."
        )
        raise Refused(Reason(text, "movement", "swap.movement"))
    lead = one if one.person.pk == turn.person_1_id else other
    hand_over(
        by=lead.person,
        role=lead.role,
        at=at,
        movement=carried_off_with,
        hand=lead,
        left_at=started_at,
    )
    take_facsimiles_out(
        showing=turn.showing,
        since=started_at,
        by=lead.person,
        role=lead.role,
        at=at,
        because=f"{coming_in.showing.museum_object.object_number} takes the place",
    )
    arrived = _put_in(one, other, at, coming_in, turn.place, done_at)
    finish_planned(turn, turn.showing, done_at, one, at)
    return turn, arrived


def _put_in(
    one: Hand, other: Hand, at: datetime, coming_in: ComingIn, place: Place, done_at: datetime
) -> InstallCheck | TurnRecord:
    showing = Showing.objects.get(pk=coming_in.showing.pk)
    if showing.stage == Stage.ROTATION and coming_in.shown is not None:
        return show_again(
            one=one, other=other, at=at, showing=showing, shown=coming_in.shown, done_at=done_at
        )
    if coming_in.seen is None:
        raise Refused(
            f"{coming_in.showing.museum_object.object_number} is at "
            f"{Stage(showing.stage).label}: it goes in from ready, or from rotation."
        )
    return install(
        one=one,
        other=other,
        at=at,
        showing=showing,
        face=coming_in.face,
        place=place,
        seen=coming_in.seen,
        observed_at=done_at,
    )
