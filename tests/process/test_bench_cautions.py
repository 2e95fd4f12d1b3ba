"""The cautions that ship, row by row with the tag of where each comes from.

Tags: SEEN in a stored text, MEMORY(h) well known, MEMORY(m) to be checked, COMMON PRACTICE.
The last column of the table says which of them; 'house' are rules that read the house's own record.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from lifecycle.process.bench_cautions import (
    NEVER_MINOR,
    Basis,
    Brings,
    Rule,
    Trait,
    asks_of,
    brought_by_step,
    raised,
)
from lifecycle.process.bench_rules import RULES, rules_with

SEEN, MEMORY_H, MEMORY_M, PRACTICE, HOUSE = "read", "memory", "check", "practice", "house"

TYPED = {
    # Iron-gall ink: wet treatment SEEN; carrying iron MEMORY(h); damp and levels 3-4 MEMORY(m)
    ("iron_gall_ink", "moisture"): SEEN,
    ("copying_ink", "moisture"): SEEN,
    ("ran_in_water", "moisture"): SEEN,
    ("iron_gall_ink", "solvent"): MEMORY_H,
    ("free_iron", "moisture"): MEMORY_H,
    ("iron_gall_ink", "humidity"): MEMORY_M,
    ("ink_cracked", "moisture"): MEMORY_M,
    # Boards: alkaline reserve SEEN; protein textiles MEMORY(h)
    ("cyanotype", "alkali"): SEEN,
    ("colour_photograph", "alkali"): SEEN,
    ("protein_textile", "alkali"): MEMORY_H,
    # Polyester and friable media MEMORY(h); parchment in heat and damp MEMORY(h)
    ("loose_medium", "film"): MEMORY_H,
    ("parchment", "heat"): MEMORY_H,
    ("parchment", "moisture"): MEMORY_H,
    # Said in the trade, no source
    ("ink_cracked", "pressure"): PRACTICE,
    ("ran_in_solvent", "solvent"): PRACTICE,
    ("soluble_medium", "moisture"): PRACTICE,
    ("loose_medium", "pressure"): PRACTICE,
    ("flaking_medium", "pressure"): PRACTICE,
    ("flaking_medium", "heat"): PRACTICE,
    ("flaking_medium", "moisture"): PRACTICE,
    ("relief", "pressure"): PRACTICE,
    ("relief", "heat"): PRACTICE,
    ("writing", "lining"): PRACTICE,
    ("writing", "mending"): PRACTICE,
    ("any", "lining_both"): PRACTICE,
    ("upright_only", "lying_flat"): HOUSE,
    ("any", "test_failed"): HOUSE,
    ("any", "test_lapsed"): HOUSE,
    ("any", "not_tested"): HOUSE,
}
SHOWN_ONLY = {("parchment", "moisture"), ("writing", "mending"), ("any", "not_tested")}


def test_the_table_that_ships_is_the_one_typed_here_with_its_tags() -> None:
    assert {rule.key: rule.basis.value for rule in RULES} == TYPED
    assert len(RULES) == len(TYPED)
    assert {rule.key for rule in RULES if not rule.asks} == SHOWN_ONLY


def test_what_is_from_memory_and_not_sure_says_that_it_is_to_be_checked() -> None:
    """What is doubtful says so: MEMORY(m) ships labelled, MEMORY(l) does not ship."""
    doubtful = [rule for rule in RULES if rule.basis is Basis.CHECK]
    assert doubtful
    assert all("check it before you rely on it" in rule.basis.label for rule in doubtful)


def test_every_rule_names_its_source() -> None:
    assert all(rule.text and rule.source for rule in RULES)


@pytest.mark.parametrize(
    ("code", "degrees", "brings"),
    [
        ("press", None, {Brings.PRESSURE, Brings.LYING_FLAT}),
        ("deacidify", None, {Brings.MOISTURE, Brings.ALKALI, Brings.LYING_FLAT}),
        ("remove-tape", None, {Brings.MOISTURE, Brings.SOLVENT}),
        ("remove-tape", Decimal(40), {Brings.MOISTURE, Brings.SOLVENT, Brings.HEAT}),
        ("mend", Decimal("39.9"), {Brings.MENDING}),
        ("line", None, {Brings.PRESSURE, Brings.LYING_FLAT, Brings.LINING}),
        ("dust", None, set()),
    ],
)
def test_a_step_brings_what_its_word_and_its_temperature_say(
    code: str, degrees: Decimal | None, brings: set[Brings]
) -> None:
    assert brought_by_step(code, degrees) == brings


def keys(traits: set[Trait], brings: set[Brings], rules: tuple[Rule, ...] = RULES) -> set[str]:
    found = raised(dict.fromkeys(traits, "on record"), dict.fromkeys(brings, "so"), rules)
    return {f"{one.rule.trait}+{one.rule.brings}" for one in found}


def test_a_rule_speaks_only_where_both_sides_meet() -> None:
    assert keys({Trait.IRON_GALL_INK}, {Brings.PRESSURE}) == set()
    assert keys({Trait.CYANOTYPE}, {Brings.MOISTURE}) == set()
    assert keys({Trait.IRON_GALL_INK}, {Brings.MOISTURE}) == {"iron_gall_ink+moisture"}
    assert keys(set(), {Brings.TEST_FAILED}) == {"any+test_failed"}


def test_the_house_puts_its_own_words_in_the_place_of_a_rule_or_takes_it_out() -> None:
    (shipped,) = (rule for rule in RULES if rule.key == ("cyanotype", "alkali"))
    softer = replace(shipped, text="Ours.", source="Our own trial.", asks=False)
    rules = rules_with([softer])
    assert len(rules) == len(RULES)
    (found,) = raised({Trait.CYANOTYPE: "x"}, {Brings.ALKALI: "y"}, rules)
    assert "Ours. (x; y; source: Our own trial" in found.sentence
    assert asks_of([found]) == ()
    off = rules_with([replace(shipped, in_use=False)])
    assert keys({Trait.CYANOTYPE}, {Brings.ALKALI}, off) == set()


def test_a_rule_of_the_house_for_two_that_none_joined_comes_behind() -> None:
    own = Rule(
        trait=Trait.RELIEF,
        brings=Brings.FILM,
        text="Ours.",
        source="Ours.",
        basis=Basis.HOUSE,
    )
    assert rules_with([own])[-1] == own
    assert keys({Trait.RELIEF}, {Brings.FILM}, rules_with([own])) == {"relief+film"}


def test_no_trait_of_ink_moisture_or_media_is_minor() -> None:
    """Our process: no standing consent where an ink, moisture or media caution applies."""
    named = {"ink", "iron", "ran", "medium"}
    assert {t for t in Trait if named & set(t.value.split("_"))} == NEVER_MINOR
