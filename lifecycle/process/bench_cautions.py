"""When object and step do not go together: what an object has, what a step brings, how they meet.

A rule joins what an object is or has (a trait) with what a step or a material brings to it. It
warns; it never bars: where it asks, the conservator may go on with a written reason.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from lifecycle.process.words import Word


class Trait(Word):
    """What an object is or has, as far as a caution speaks of it."""

    ANY = "any"
    IRON_GALL_INK = "iron_gall_ink"
    FREE_IRON = "free_iron"
    INK_CRACKED = "ink_cracked"
    COPYING_INK = "copying_ink"
    RAN_IN_WATER = "ran_in_water"
    RAN_IN_SOLVENT = "ran_in_solvent"
    SOLUBLE_MEDIUM = "soluble_medium"
    LOOSE_MEDIUM = "loose_medium"
    FLAKING_MEDIUM = "flaking_medium"
    RELIEF = "relief"
    CYANOTYPE = "cyanotype"
    COLOUR_PHOTOGRAPH = "colour_photograph"
    PROTEIN_TEXTILE = "protein_textile"
    PARCHMENT = "parchment"
    UPRIGHT_ONLY = "upright_only"
    WRITING = "writing"

    @property
    def label(self) -> str:
        return _TRAIT_LABELS.get(self.value, super().label)

    @property
    def means(self) -> str:
        return _TRAITS[self]


class Brings(Word):
    """What a step or a material brings to the object."""

    MOISTURE = "moisture"
    HUMIDITY = "humidity"
    SOLVENT = "solvent"
    ALKALI = "alkali"
    PRESSURE = "pressure"
    HEAT = "heat"
    FILM = "film"
    LYING_FLAT = "lying_flat"
    LINING = "lining"
    LINING_BOTH = "lining_both"
    MENDING = "mending"
    TEST_FAILED = "test_failed"
    TEST_LAPSED = "test_lapsed"
    NOT_TESTED = "not_tested"

    @property
    def label(self) -> str:
        return _BRINGS_LABELS.get(self.value, super().label)

    @property
    def means(self) -> str:
        return _BRINGS[self]


class Basis(Word):
    """How sure the source of a rule is."""

    READ = "read"
    MEMORY = "memory"
    CHECK = "check"
    PRACTICE = "practice"
    HOUSE = "house"

    @property
    def label(self) -> str:
        return {
            "read": "a source that was read",
            "memory": "from memory, well known",
            "check": "from memory: check it before you rely on it",
            "practice": "common practice",
            "house": "the house's own",
        }[self.value]


_TRAIT_LABELS: Final = {
    "any": "any object",
    "iron_gall_ink": "iron-gall ink",
    "free_iron": "free iron in a spot test",
    "ink_cracked": "iron-gall ink that is cracked or broken",
    "ran_in_water": "a medium that ran in water",
    "ran_in_solvent": "a medium that ran in a solvent",
    "soluble_medium": "a medium that water moves",
    "flaking_medium": "a flaking or active medium",
    "upright_only": "may not lie flat",
    "writing": "writing",
}
_TRAITS: Final[Mapping[Trait, str]] = MappingProxyType(
    {
        Trait.ANY: "Every object.",
        Trait.IRON_GALL_INK: "Iron-gall ink among the materials, or inked areas that were rated.",
        Trait.FREE_IRON: "A spot test of its ink showed iron(II) that moves.",
        Trait.INK_CRACKED: "An inked area is rated 3 poor or 4 bad.",
        Trait.COPYING_INK: "Copying ink among the materials.",
        Trait.RAN_IN_WATER: "A medium moved in a spot test with water, or has run before.",
        Trait.RAN_IN_SOLVENT: "A medium moved in a spot test with a solvent.",
        Trait.SOLUBLE_MEDIUM: "A medium bound in gum, a lake, a dye, or marked as shy of moisture.",
        Trait.LOOSE_MEDIUM: "A medium with little binder: pastel, charcoal, chalk, powdering.",
        Trait.FLAKING_MEDIUM: "Its last report finds the medium flaking, lifting or active.",
        Trait.RELIEF: "Embossing, seals, thick paint or other relief on a face.",
        Trait.CYANOTYPE: "A cyanotype, or an iron blue image.",
        Trait.COLOUR_PHOTOGRAPH: "A chromogenic or dye transfer print.",
        Trait.PROTEIN_TEXTILE: "Wool or silk.",
        Trait.PARCHMENT: "Parchment among the materials.",
        Trait.UPRIGHT_ONLY: "Its record says upright only.",
        Trait.WRITING: "Ink, a manuscript, or marks and inscriptions on record.",
    }
)
_BRINGS_LABELS: Final = {
    "moisture": "water or moisture",
    "humidity": "damp air",
    "solvent": "an organic solvent",
    "alkali": "alkaline board, paper or water",
    "film": "plastic film",
    "lining": "a lining",
    "lining_both": "linings on both faces",
    "mending": "a mend or fill",
    "test_failed": "a material that failed its test",
    "test_lapsed": "a material whose test has lapsed",
    "not_tested": "a material that was not tested yet",
}
_BRINGS: Final[Mapping[Brings, str]] = MappingProxyType(
    {
        Brings.MOISTURE: "A wet step, or an adhesive, watery solution or gel.",
        Brings.HUMIDITY: "Humidifying or flattening.",
        Brings.SOLVENT: "A solvent, or a step that takes off adhesive or tape.",
        Brings.ALKALI: "A material with an alkaline reserve, or deacidifying.",
        Brings.PRESSURE: "Pressing, flattening, lining or encapsulating.",
        Brings.HEAT: "A heated tool, or a step at 40 °C or more.",
        Brings.FILM: "Plastic film or sheet against the object.",
        Brings.LYING_FLAT: "A step for which the object is laid flat.",
        Brings.LINING: "A lining or backing.",
        Brings.LINING_BOTH: "One face is lined already, or both are to be.",
        Brings.MENDING: "Mending, filling or guarding.",
        Brings.TEST_FAILED: "Its record says it failed.",
        Brings.TEST_LAPSED: "Its last test counts no longer.",
        Brings.NOT_TESTED: "Its record says it is still to be tested.",
    }
)

WET_STEPS: Final = frozenset(
    {
        "humidify",
        "flatten",
        "wash",
        "float-wash",
        "blotter-wash",
        "suction-wash",
        "bathe",
        "deacidify",
        "bleach",
        "size",
        "remove-adhesive",
        "reduce-adhesive",
        "remove-lining",
        "remove-tape",
    }
)
"""Codes of treatment steps that bring water or solvent to the object (common practice)."""

TEST_STEP: Final = "test"
HOT_FROM: Final = Decimal(40)
"""A step at this temperature [°C] or above counts as heat; the figure is ours."""


_LAID_FLAT: Final = frozenset(
    {"press", "flatten", "line", "back", "encapsulate", "remove-lining", "humidify"}
    | {"wash", "float-wash", "blotter-wash", "suction-wash", "bathe", "deacidify"}
)
STEPS_BRING: Final[Mapping[Brings, frozenset[str]]] = MappingProxyType(
    {
        Brings.MOISTURE: WET_STEPS,
        Brings.HUMIDITY: frozenset({"humidify", "flatten"}),
        Brings.SOLVENT: frozenset({"remove-adhesive", "reduce-adhesive", "remove-tape"}),
        Brings.ALKALI: frozenset({"deacidify", "buffer"}),
        Brings.PRESSURE: frozenset({"press", "flatten", "line", "back", "encapsulate"}),
        Brings.HEAT: frozenset({"heat-set"}),
        Brings.LYING_FLAT: _LAID_FLAT,
        Brings.LINING: frozenset({"line", "back"}),
        Brings.MENDING: frozenset({"mend", "fill", "guard"}),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What is said when the two meet; ``asks``: a written reason is wanted before going on."""

    trait: Trait
    brings: Brings
    text: str
    source: str
    basis: Basis
    asks: bool = True
    in_use: bool = True

    @property
    def key(self) -> tuple[Trait, Brings]:
        return self.trait, self.brings


NEVER_MINOR: Final = frozenset(
    {
        Trait.IRON_GALL_INK,
        Trait.FREE_IRON,
        Trait.INK_CRACKED,
        Trait.COPYING_INK,
        Trait.RAN_IN_WATER,
        Trait.RAN_IN_SOLVENT,
        Trait.SOLUBLE_MEDIUM,
        Trait.LOOSE_MEDIUM,
        Trait.FLAKING_MEDIUM,
    }
)
"""Traits of ink, moisture and media: no standing consent serves where one of them is on record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """A rule that a step raises on an object, and what on record raised it."""

    rule: Rule
    because: str

    @property
    def sentence(self) -> str:
        """The warning with its reason, source and how sure it is."""
        rule = self.rule
        return f"{rule.text} ({self.because}; source: {rule.source}, {rule.basis.label}.)"


def brought_by_step(code: str, temperature_c: Decimal | None = None) -> frozenset[Brings]:
    """Return what a step brings by itself, from its code and its temperature [°C].

    >>> sorted(brought_by_step("press"))
    [<Brings.LYING_FLAT: 'lying_flat'>, <Brings.PRESSURE: 'pressure'>]
    """
    found = {one for one, codes in STEPS_BRING.items() if code in codes}
    if temperature_c is not None and temperature_c >= HOT_FROM:
        found.add(Brings.HEAT)
    return frozenset(found)


def spoken_of(brings: Iterable[Brings], rules: Iterable[Rule]) -> tuple[Rule, ...]:
    """Return the rules in use that speak of something brought, whatever the object has."""
    brought = frozenset(brings)
    return tuple(rule for rule in rules if rule.in_use and rule.brings in brought)


def raised(
    traits: Mapping[Trait, str], brings: Mapping[Brings, str], rules: Iterable[Rule]
) -> tuple[Raised, ...]:
    """Return the rules in use whose two sides meet; the mappings say what on record shows each."""
    found = []
    for rule in rules:
        if not rule.in_use or rule.brings not in brings:
            continue
        if rule.trait is Trait.ANY:
            found.append(Raised(rule=rule, because=brings[rule.brings]))
        elif rule.trait in traits:
            because = f"{traits[rule.trait]}; {brings[rule.brings]}"
            found.append(Raised(rule=rule, because=because))
    return tuple(found)


def asks_of(found: Iterable[Raised]) -> tuple[Raised, ...]:
    """Return those that want a written reason."""
    return tuple(one for one in found if one.rule.asks)
