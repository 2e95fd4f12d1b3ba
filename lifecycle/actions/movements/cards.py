"""Removal cards: left in the empty place, lifted when the object is back."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import Movement, MuseumObject, Person, RemovalCard

LEAVES_A_GAP: Final = frozenset({PlaceKind.BAY, PlaceKind.SHELF, PlaceKind.STORE})


def leave_cards(
    *,
    movement: Movement,
    objects: Sequence[MuseumObject],
    by: Person,
    role: Role,
    at: datetime,
    left_at: datetime,
) -> list[RemovalCard]:
    """Leave one card for each object that goes out of a store, bay or shelf."""
    cards = []
    for order, thing in enumerate(objects, start=1):
        place = thing.current_location
        if place is None or place.kind not in LEAVES_A_GAP:
            continue
        cards.append(
            RemovalCard(
                card_no=f"{movement.movement_no}-{order}",
                movement=movement,
                museum_object=thing,
                place=place,
                left_at=left_at,
            ).keep(by=by, role=role, why="removal card left", at=at)
        )
    return cards


def lift_cards(
    *,
    movement: Movement,
    objects: Sequence[MuseumObject],
    numbers: Mapping[int, str],
    by: Person,
    role: Role,
    at: datetime,
    lifted_at: datetime,
) -> None:
    """Lift the cards that lie where the objects have come back to.

    :param numbers: card number as read from the card, or 'lost: why', per object id
    :raises Refused: when a card's number is missing or is another card's
    """
    waiting = list(
        RemovalCard.objects.select_for_update()
        .filter(
            museum_object__in=[thing.pk for thing in objects],
            place=movement.to_place,
            lifted_at=None,
        )
        .select_related("museum_object")
        .order_by("pk")
    )
    reasons = []
    for card in waiting:
        said = numbers.get(card.museum_object_id, "").strip()
        if said.lower().startswith("lost:") and said[5:].strip():
            card.lost_note = said[5:].strip()
        elif said.upper() != card.card_no.upper():
            text = (
                f"Lift the removal card of {card.museum_object.object_number} in "
                f"{movement.to_place.name} and type its number"
            )
            text += f"; {said} is not on that card." if said else ", or write 'lost:' and why."
            reasons.append(Reason(text, f"card_{card.museum_object_id}", "movement.card"))
    if reasons:
        raise Refused(reasons)
    for card in waiting:
        card.lifted_at, card.lifted_by, card.lifted_with = lifted_at, by, movement
        card.keep(by=by, role=role, why="removal card lifted", at=at)
