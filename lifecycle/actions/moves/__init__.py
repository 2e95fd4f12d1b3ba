"""Moves of a showing, waivers of its gates, holds on its object."""

from lifecycle.actions.moves.holding import decide_hold, lift_hold, place_hold
from lifecycle.actions.moves.making import Overtaken, lock_showing, make_move, so_far
from lifecycle.actions.moves.waiving import end_waiver, waive

__all__ = [
    "Overtaken",
    "decide_hold",
    "end_waiver",
    "lift_hold",
    "lock_showing",
    "make_move",
    "place_hold",
    "so_far",
    "waive",
]
