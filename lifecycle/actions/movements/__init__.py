"""Movements: planned, authorised, handed over, received, confirmed; each step by name."""

from lifecycle.actions.movements.confirming import confirm_arrival
from lifecycle.actions.movements.handing_over import hand_over
from lifecycle.actions.movements.planning import (
    authorise_movement,
    cancel_movement,
    plan_movement,
)
from lifecycle.actions.movements.receiving import Scanned, receive

__all__ = [
    "Scanned",
    "authorise_movement",
    "cancel_movement",
    "confirm_arrival",
    "hand_over",
    "plan_movement",
    "receive",
]
