"""Carries a demo object: planned, authorised, handed over, received and confirmed by scan."""

from datetime import datetime, timedelta

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import word
from lifecycle.actions.movements.handing_over import hand_over
from lifecycle.actions.movements.planning import Carried, authorise_movement, plan_movement
from lifecycle.actions.movements.receiving import Scanned, receive
from lifecycle.process.words import Hazard, Orientation
from lifecycle.records.models import Movement, Place, RemovalCard, Showing, Vocabulary
from lifecycle.records.models.movements import StateOnArrival


def carry(
    cast: Cast, showing: Showing, to_place: Place, reason: str, at: datetime, *, receiver: str
) -> Movement:
    """From where it is to ``to_place``; the registrar authorises, two different people sign."""
    thing = showing.museum_object
    thing.refresh_from_db()
    if thing.current_location is None:
        raise ValueError(f"{thing} is nowhere on record.")
    upright = thing.orientation_rule == Orientation.UPRIGHT_ONLY
    dangerous = thing.hazards.filter(hazard=Hazard.MERCURY_LIQUID).exists()
    people = 2 if upright or dangerous or (thing.weight_g or 0) > 4000 else 1
    movement = plan_movement(
        from_place=thing.current_location,
        to_place=to_place,
        reason=word(Vocabulary.MOVE_REASON, reason),
        carried=[Carried(museum_object=thing, showing=showing)],
        planned_for=at,
        carried_by=cast.people["bram"],
        method=word(Vocabulary.MOVE_METHOD, "trolley-upright-rack" if upright else "tray"),
        people_needed=people,
        route_remarks="Through the north corridor; the lift door is held open.",
        **cast.acting("josephine", at - timedelta(hours=2)),
    )
    authorise_movement(movement=movement, **cast.acting("josephine", at - timedelta(hours=2)))
    hand_over(
        movement=movement,
        hand=cast.hand("bram"),
        left_at=at,
        carried_by=cast.people["bram"],
        **cast.acting("bram", at),
    )
    arrived = at + timedelta(minutes=20)
    gap = RemovalCard.objects.filter(museum_object=thing, lifted_at=None, place=to_place)
    card = gap.first()
    receive(
        movement=movement,
        hand=cast.hand(receiver),
        arrived_at=arrived,
        state=StateOnArrival.SAME,
        scanned=Scanned(
            place=to_place.code,
            objects=[thing.code],
            card_numbers={thing.pk: card.card_no} if card else {},
        ),
        **cast.acting(receiver, arrived),
    )
    thing.refresh_from_db()
    return movement
