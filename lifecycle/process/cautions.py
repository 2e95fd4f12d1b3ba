"""Cautions where work can hurt someone: on forms before the work, and on the papers that travel.

The sentences are ours. They remind; they do not instruct: each defers to local codes, to the
safety data sheet and to licensed practice. Matters and measures are common practice.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from lifecycle.process.ink import SPOT_TEST_CAUTIONS
from lifecycle.process.words import Hazard


class CautionFor(StrEnum):
    """The activity a form or paper is for."""

    EXAMINE = "examine"
    EXAMINE_UV = "examine_uv"
    EXAMINE_XRAY = "examine_xray"
    TREAT = "treat"
    MOVE = "move"
    INSTALL = "install"
    TAKE_DOWN = "take_down"
    READ_LIGHT = "read_light"
    SPOT_TEST = "spot_test"
    CONDITION_PAPER = "condition_paper"
    DEINSTALL_PAPER = "deinstall_paper"
    MOVEMENT_PAPER = "movement_paper"
    MATERIAL_TEST = "material_test"


@dataclass(frozen=True, slots=True)
class Caution:
    """``hazard`` is None for a caution that goes with the activity itself."""

    about: str
    text: str
    hazard: Hazard | None = None


DEFER: Final = (
    "This reminder does not replace local codes, the safety data sheet or the judgement of "
    "somebody licensed or trained for the work; where they differ, they win."
)

_BY_HAZARD: Final[Mapping[Hazard, str]] = MappingProxyType(
    {
        Hazard.MERCURY_LIQUID: (
            "Liquid mercury: keep it upright and over a tray, never lay it flat; wear nitrile "
            "gloves. If it leaks, keep people out, air the room, leave clearing up to those "
            "trained and equipped for it."
        ),
        Hazard.MERCURY_SALTS: (
            "Mercury salts from old poisoning: wear nitrile gloves and a suitable mask, work "
            "over a tray, wash hands afterwards; no food or drink near it."
        ),
        Hazard.ARSENIC: (
            "Arsenic: take residue as present until tested; wear nitrile gloves and a suitable "
            "mask or use a hood, no dry brushing, wash hands afterwards."
        ),
        Hazard.LEAD: (
            "Lead: wear gloves, raise no dust, do not eat or drink near it, wash hands "
            "afterwards; vacuum only with a high-efficiency filter."
        ),
        Hazard.PESTICIDE: (
            "Pesticide residue: take it as present until tested; wear nitrile gloves and a "
            "suitable mask, touch as little as possible, label the box, wash hands afterwards."
        ),
        Hazard.MOULD: (
            "Mould: isolate and bag it, wear a fitted particle mask and gloves, do not brush in "
            "an open room; people with allergies or weak defences stay away."
        ),
        Hazard.SHARP: (
            "Sharp parts: see where they are before touching; cover points and edges, wear "
            "cut-resistant gloves where the surface allows it."
        ),
        Hazard.HEAVY: (
            "Heavy: at least two people or a lifting aid, the path walked and cleared first, one "
            "person gives the word."
        ),
        Hazard.FRAGILE_GLASS: (
            "Fragile glass: never lift by the glass; support it whole. Broken glass: stop, keep "
            "others back, thick gloves and eye protection, keep every fragment of the object."
        ),
        Hazard.BATTERY: (
            "Battery or corrosive leak: do not touch the crust, wear gloves and eye protection, "
            "isolate it and call a specialist."
        ),
        Hazard.NITRATE_FILM: (
            "Cellulose nitrate: flammable and able to heat itself; no hot lamp, no flame, no "
            "closed warm box; keep it cool, vented and apart, and ask the fire officer."
        ),
        Hazard.ASBESTOS: (
            "Asbestos: do not disturb, drill, brush or cut it; wrap nothing yourself. Stop and "
            "call a licensed specialist."
        ),
        Hazard.RADIOACTIVE: (
            "Radioactive: keep distance and time short, never scrape or open it, gloves and no "
            "food near; have it measured by somebody competent."
        ),
        Hazard.MAGNETS: (
            "Strong magnets: fingers are pinched between them; keep them away from pacemakers, "
            "implants, cards and data."
        ),
        Hazard.NOT_ASSESSED: (
            "Hazards not assessed: treat it as if it were hazardous, with gloves and as little "
            "touch as possible, until somebody has assessed it."
        ),
    }
)

_LAMPS: Final = Caution(
    "Lamps",
    "Every lamp is exposure for the object: low level, short time, and write the minutes down. "
    "Lamps get hot; keep them clear of hands, paper and film.",
)
_UV: Final = Caution(
    "UV lamp",
    "Wear goggles rated for UV, cover the skin, never look into the lamp, keep the exposure to "
    "seconds and write it down.",
)
_XRAY: Final = Caution(
    "X-ray", "Only a licensed operator, in the shielded room, with the warning lamp on."
)
_TOUCH: Final = Caution(
    "Touch",
    "Clean dry hands for paper, nitrile gloves for photographs, metal and glass; pencil only near "
    "the object; nothing loose on wrist or neck.",
)
_SOLVENTS: Final = Caution(
    "Solvents",
    "Work under extraction, no flame or spark near, smallest vessel on the bench, gloves and eye "
    "protection after the safety data sheet, which lies within reach.",
)
_MOISTURE: Final = Caution(
    "Iron-gall ink and moisture",
    "Water carries iron and acid out of the ink and cracks heavily inked areas: test for free "
    "iron and decide before any moisture; none on cracked or broken ink.",
)
_LIFTING: Final = Caution(
    "Lifting",
    "Two people above about 25 kg or one arm span; walk the path first, doors held, a support "
    "under everything that is moved.",
)
_HEIGHT: Final = Caution(
    "Height and lamps",
    "Steps and platforms only by people trained for them and never alone; lamps off and cool "
    "before working near them.",
)
_LIVE: Final = Caution(
    "Lamps, hot and live",
    "Lamps and fittings are hot and carry current: never reach into one. Changing, re-aiming and "
    "cleaning them is for people trained for it, supply off and lamp cold.",
)
_UV_READING: Final = Caution(
    "UV", "Never look into a lamp whose filter is off or broken; read it with the sensor alone."
)
_GLASS: Final = Caution(
    "Broken glass",
    "If glazing breaks, stop: nobody reaches in with bare hands; thick gloves, eye protection, "
    "and the object is lifted out by a conservator.",
)
_MAGNETS: Final = Caution(
    "Magnets", "Magnet mounts pinch; people with a pacemaker or implant stay away from them."
)
_BADGES: Final = Caution(
    "At the case",
    "Tools, badges, rings and cups stay out of the case; who reads the sheet does not hold the "
    "object.",
)

_SPOT_TEST: Final = tuple(Caution("Spot test", text) for text in SPOT_TEST_CAUTIONS)

_COUPONS: Final = Caution(
    "Metal coupons and heat",
    "Lead coupons and their dust harm: wear gloves, do not sand them dry, wash hands. Closed glass "
    "at 60 °C can burst and scalds: eye protection, let it cool before it is opened; an oven that "
    "nobody uses for food.",
)

_BY_ACTIVITY: Final[Mapping[CautionFor, tuple[Caution, ...]]] = MappingProxyType(
    {
        CautionFor.EXAMINE: (_TOUCH, _LAMPS),
        CautionFor.EXAMINE_UV: (_TOUCH, _LAMPS, _UV),
        CautionFor.EXAMINE_XRAY: (_TOUCH, _XRAY),
        CautionFor.TREAT: (_TOUCH, _SOLVENTS, _MOISTURE, _LAMPS),
        CautionFor.MOVE: (_TOUCH, _LIFTING),
        CautionFor.INSTALL: (_TOUCH, _LIFTING, _HEIGHT, _GLASS, _MAGNETS, _BADGES),
        CautionFor.TAKE_DOWN: (_TOUCH, _LIFTING, _HEIGHT, _GLASS, _MAGNETS, _BADGES),
        CautionFor.SPOT_TEST: (_TOUCH, _MOISTURE, *_SPOT_TEST),
        CautionFor.MATERIAL_TEST: (_COUPONS,),
        CautionFor.READ_LIGHT: (_LIVE, _UV_READING, _HEIGHT),
        CautionFor.CONDITION_PAPER: (_TOUCH, _LAMPS, _UV),
        CautionFor.DEINSTALL_PAPER: (_TOUCH, _LIFTING, _HEIGHT, _GLASS),
        CautionFor.MOVEMENT_PAPER: (_TOUCH, _LIFTING),
    }
)


def cautions_for(hazards: Iterable[Hazard], activity: CautionFor) -> tuple[Caution, ...]:
    """Return the cautions for one activity with one object, its own hazards first.

    Every hazard of the object gives a line, 'none known' alone gives none; no hazard on record at
    all counts as not assessed. The last line says to whom all of them defer.
    """
    known = set(hazards) or {Hazard.NOT_ASSESSED}
    own = [
        Caution(hazard.label[:1].upper() + hazard.label[1:], _BY_HAZARD[hazard], hazard)
        for hazard in Hazard
        if hazard in known and hazard is not Hazard.NONE_KNOWN
    ]
    return (*own, *_BY_ACTIVITY[activity], Caution("Always", DEFER))
