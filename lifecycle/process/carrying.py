"""How an object may be carried: how many people it takes and which methods are ruled out. Pure.

Upright-only is no pedantry: a barometer that was laid flat has spilled its mercury. The rules
inform; a conservator decides, and the safety data sheet and local codes come first.
The rules are common practice, and so is 'heavy' from 20 kg.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from lifecycle.process.words import Hazard, Orientation

HEAVY_FROM_G: Final = 20_000
UPRIGHT_METHODS: Final = frozenset({"hand", "trolley-upright-rack", "crate", "van"})
"""Codes of the ways of carrying that hold an object upright."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What decides how one object is carried. ``weight_g`` [g], None when nobody weighed it."""

    number: str
    hazards: frozenset[Hazard]
    orientation: Orientation
    weight_g: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One demand on the carrying, with the object and the reason in words."""

    code: str
    text: str


def people_demanded(loads: Iterable[Load]) -> tuple[int, tuple[Need, ...]]:
    """Return the least number of people and why it takes more than one."""
    needs = []
    for load in loads:
        if Hazard.MERCURY_LIQUID in load.hazards:
            text = f"{load.number} holds liquid mercury: two people carry it, upright."
            needs.append(Need(code="mercury", text=text))
        elif load.orientation is Orientation.UPRIGHT_ONLY:
            text = f"{load.number} stays upright: two people carry it."
            needs.append(Need(code="upright", text=text))
        if Hazard.HEAVY in load.hazards or (load.weight_g or 0) >= HEAVY_FROM_G:
            needs.append(Need(code="heavy", text=f"{load.number} is heavy: two people carry it."))
    return (2 if needs else 1), tuple(needs)


def method_ruled_out(method: str, loads: Iterable[Load]) -> str:
    """Return why this method may not be used, or nothing when it may.

    :param method: code of the way of carrying
    """
    for load in loads:
        upright = (
            load.orientation is Orientation.UPRIGHT_ONLY or Hazard.MERCURY_LIQUID in load.hazards
        )
        if upright and method not in UPRIGHT_METHODS:
            return (
                f"{load.number} travels upright only: take it by hand, on a trolley with an "
                "upright rack, or in a crate."
            )
    return ""
