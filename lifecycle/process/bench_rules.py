"""The cautions that ship, each with its source and its doubt; a museum puts its own in their place.

They speak of iron-gall ink, steps, materials, housings and tests; the sentences are ours.
"""

from collections.abc import Iterable
from typing import Final

from lifecycle.process.bench_cautions import Basis, Brings, Rule, Trait

_ASSESSMENT: Final = "irongallink.org, visual assessment before treatment (2007)"
_PROGNOSIS: Final = "inkcorrosion.org, ink corrosion prognosis (2010)"
_ALKALI_LISTS: Final = (
    "A conservators' list of 2006 and an archives list of 2012: no harm from an alkaline reserve "
    "shown; the worry is for cyanotypes, chromogenic and dye transfer prints"
)
_PAPER: Final = "Common practice among paper conservators"

RULES: Final = (
    Rule(
        trait=Trait.IRON_GALL_INK,
        brings=Brings.MOISTURE,
        text=(
            "Inked areas take up water differently from bare paper and can crack or lose pieces; "
            "water can carry iron and acid into clean paper. Test first, keep water local, prefer "
            "a low-moisture tissue beside ink."
        ),
        source=_ASSESSMENT,
        basis=Basis.READ,
    ),
    Rule(
        trait=Trait.IRON_GALL_INK,
        brings=Brings.HUMIDITY,
        text=(
            "Damp air and flattening only after the iron test and a decision: above 70 % RH the "
            "ink is in growing danger, worst near saturation."
        ),
        source=_PROGNOSIS,
        basis=Basis.CHECK,
    ),
    Rule(
        trait=Trait.IRON_GALL_INK,
        brings=Brings.SOLVENT,
        text="Mixtures of water and alcohol can carry iron and acid into clean paper too.",
        source="Common knowledge of the trade on iron-gall ink",
        basis=Basis.MEMORY,
    ),
    Rule(
        trait=Trait.FREE_IRON,
        brings=Brings.MOISTURE,
        text=(
            "A spot test found iron(II) that moves: water carries it with acid into clean paper. "
            "No wet mends with paste beside this ink; a remoistenable tissue, or a whole treatment "
            "by a specialist."
        ),
        source="Common knowledge of the trade on iron-gall ink",
        basis=Basis.MEMORY,
    ),
    Rule(
        trait=Trait.INK_CRACKED,
        brings=Brings.MOISTURE,
        text="The ink is cracked or broken: no damp pack, no wet treatment here.",
        source="Four-level rating of ink corrosion (2001), with practice on each level",
        basis=Basis.CHECK,
    ),
    Rule(
        trait=Trait.INK_CRACKED,
        brings=Brings.PRESSURE,
        text="The ink is cracked or broken: pressing or drawing the sheet flat can lose pieces.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.COPYING_INK,
        brings=Brings.MOISTURE,
        text=(
            "Copying ink stays very soluble, and on a copy it sits on the back of the sheet: "
            "look at both faces before any water."
        ),
        source=_ASSESSMENT,
        basis=Basis.READ,
    ),
    Rule(
        trait=Trait.RAN_IN_WATER,
        brings=Brings.MOISTURE,
        text="A medium that ran once in water may run again: look for tide lines on both faces.",
        source=_ASSESSMENT,
        basis=Basis.READ,
    ),
    Rule(
        trait=Trait.RAN_IN_SOLVENT,
        brings=Brings.SOLVENT,
        text="A medium moved in a spot test with a solvent: it may move again, in this one or kin.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.SOLUBLE_MEDIUM,
        brings=Brings.MOISTURE,
        text="A medium that water can move or lift: test it first, and keep water away from it.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.LOOSE_MEDIUM,
        brings=Brings.PRESSURE,
        text=(
            "Loose medium: no pressure, and no turning face down before you have judged whether "
            "it allows that."
        ),
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.LOOSE_MEDIUM,
        brings=Brings.FILM,
        text="Plastic film is charged with static and lifts loose medium: charcoal, pastel, chalk.",
        source="Common knowledge of the trade on polyester and acrylic near loose media",
        basis=Basis.MEMORY,
    ),
    Rule(
        trait=Trait.FLAKING_MEDIUM,
        brings=Brings.PRESSURE,
        text="The medium flakes or is active: no pressure there until you have looked again.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.FLAKING_MEDIUM,
        brings=Brings.HEAT,
        text="The medium flakes or is active: no heat there until you have looked again.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.FLAKING_MEDIUM,
        brings=Brings.MOISTURE,
        text="The medium flakes or is active: no moisture there until you have looked again.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.RELIEF,
        brings=Brings.PRESSURE,
        text="Relief is flattened for good by pressure: spare it, or press between soft layers.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.RELIEF,
        brings=Brings.HEAT,
        text="Wax, thick paint and gilding soften in heat and lose their relief.",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.CYANOTYPE,
        brings=Brings.ALKALI,
        text=(
            "Alkali bleaches the blue of a cyanotype: unbuffered board and paper, always dry. Damp "
            "buffered board has been reported to bleach edges."
        ),
        source=f"{_ALKALI_LISTS}; a photographers' list of 2007 reports bleached edges",
        basis=Basis.READ,
    ),
    Rule(
        trait=Trait.COLOUR_PHOTOGRAPH,
        brings=Brings.ALKALI,
        text=(
            "Some colour prints are kept away from alkaline board: contact pH 7.0 to 8.0 was asked "
            "for them."
        ),
        source=f"{_ALKALI_LISTS}; earlier limits as quoted on a list of 2000",
        basis=Basis.READ,
    ),
    Rule(
        trait=Trait.PROTEIN_TEXTILE,
        brings=Brings.ALKALI,
        text="Wool and silk are weakened by alkali: neutral, unbuffered board and tissue.",
        source="A supplier's guide to collections care, and common knowledge of the trade",
        basis=Basis.MEMORY,
    ),
    Rule(
        trait=Trait.PARCHMENT,
        brings=Brings.HEAT,
        text="Parchment shrinks and turns glassy in heat with water: neither together.",
        source="Common knowledge of the trade on parchment",
        basis=Basis.MEMORY,
    ),
    Rule(
        trait=Trait.PARCHMENT,
        brings=Brings.MOISTURE,
        text="Parchment moves and raises its nap when it is damp: little, slowly, under tension.",
        source="Common knowledge of the trade on parchment",
        basis=Basis.MEMORY,
        asks=False,
    ),
    Rule(
        trait=Trait.UPRIGHT_ONLY,
        brings=Brings.LYING_FLAT,
        text="This object may not lie flat; the step lays it down.",
        source="The orientation on the object's record",
        basis=Basis.HOUSE,
    ),
    Rule(
        trait=Trait.WRITING,
        brings=Brings.LINING,
        text="A lining may cover writing: which face, and what stays legible?",
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.ANY,
        brings=Brings.LINING_BOTH,
        text=(
            "A lining on both faces hides the object and can hardly be taken off again: is one "
            "face enough?"
        ),
        source=_PAPER,
        basis=Basis.PRACTICE,
    ),
    Rule(
        trait=Trait.WRITING,
        brings=Brings.MENDING,
        text="Keep mends and fills off written areas; they must come off again decades later.",
        source=_PAPER,
        basis=Basis.PRACTICE,
        asks=False,
    ),
    Rule(
        trait=Trait.ANY,
        brings=Brings.TEST_FAILED,
        text="This material failed its test: what else would do?",
        source="The result of the test on the material's record",
        basis=Basis.HOUSE,
    ),
    Rule(
        trait=Trait.ANY,
        brings=Brings.TEST_LAPSED,
        text="The test of this material has lapsed: makers change what they sell. Test it again.",
        source="Validity on the material's record; five years or a new batch is usual",
        basis=Basis.HOUSE,
    ),
    Rule(
        trait=Trait.ANY,
        brings=Brings.NOT_TESTED,
        text="This material is still to be tested.",
        source="The material's record",
        basis=Basis.HOUSE,
        asks=False,
    ),
)


def rules_with(own: Iterable[Rule]) -> tuple[Rule, ...]:
    """Return the rules that ship with those of the house in their place, its new ones behind."""
    theirs = {rule.key: rule for rule in own}
    shipped = tuple(theirs.pop(rule.key, rule) for rule in RULES)
    return (*shipped, *theirs.values())
