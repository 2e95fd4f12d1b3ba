"""Gates that are switched off: nobody asks for them, and the chain has no switch."""

import pytest

from lifecycle.process.duties import duties
from lifecycle.process.facts.showing import Rules, ShowingFacts
from lifecycle.process.moves import MOVES, onward
from lifecycle.process.readiness import READY_GATES, gates_kept, readiness_of
from lifecycle.process.switches import ALWAYS, SWITCHED, Switch, codes_off
from tests.process.breaks import BREAKS, Break
from tests.process.lawful import lawful, put

OF_SWITCHES = [case for case in BREAKS if case.key.split(":")[0] in codes_off(Switch)]
CHAIN = {
    "assessment.missing",
    "assessment.not_fit",
    "baseline.report",
    "consent.missing",
    "consent.unanswered",
    "account.missing",
    "account.resting",
    "account.left",
    "light.proof",
    "light.ceiling",
    "install.lux",
    "install.ceiling",
    "part_a.missing",
    "part_a.countersign",
    "part_b.missing",
    "part_b.compared",
    "housing.fits",
}
"""Reasons of examination, consent, light limit, de-install check and housing."""


def without(facts: ShowingFacts, *switches: Switch) -> ShowingFacts:
    return put(facts, "rules.off", frozenset(switches))


def switch_of(case: Break) -> Switch:
    code = case.key.split(":")[0]
    return next(switch for switch, one in SWITCHED.items() if code in one.codes)


@pytest.mark.parametrize("case", OF_SWITCHES, ids=lambda case: f"{case.move}-{case.key}")
def test_a_gate_that_is_off_is_not_asked_for_and_one_that_is_on_is(case: Break) -> None:
    facts, move = case.facts(), MOVES[case.move]
    code = case.key.split(":")[0]
    assert code in {blocker.code for blocker in move.blockers(facts)}
    off = without(facts, switch_of(case))
    assert code not in {blocker.code for blocker in move.blockers(off)}
    assert code not in {duty.code for duty in duties(off)}
    others = without(facts, *(set(Switch) - {switch_of(case)}))
    assert code in {blocker.code for blocker in move.blockers(others)}


def test_every_switch_has_a_broken_gate_that_shows_it_works() -> None:
    assert {switch_of(case) for case in OF_SWITCHES} == set(Switch)
    told_only = {"route.slip"}  # stands in the readiness; no move waits for it
    assert {case.key.split(":")[0] for case in OF_SWITCHES} == codes_off(Switch) - told_only


def test_the_chain_every_showing_keeps_has_no_switch() -> None:
    given = {case.key.split(":")[0] for case in BREAKS}
    assert given >= CHAIN
    assert not CHAIN & codes_off(Switch)
    assert len(ALWAYS) == 5


@pytest.mark.parametrize(
    "case",
    [case for case in BREAKS if case.key.split(":")[0] in CHAIN],
    ids=lambda case: f"{case.move}-{case.key}",
)
def test_the_chain_is_asked_for_with_every_switch_off(case: Break) -> None:
    facts = without(case.facts(), *Switch)
    assert case.key.split(":")[0] in {b.code for b in MOVES[case.move].blockers(facts)}


def test_the_readiness_shows_no_gate_that_is_off() -> None:
    facts = without(lawful("declare_ready"), Switch.MOUNTS, Switch.CAPTIONS, Switch.CASES)
    labels = {cell.gate.code: cell.label for cell in readiness_of(facts)}
    assert "G8" not in labels
    assert "G9" not in labels
    assert labels["G10"] == "place"
    assert labels["G12"] == "route"
    assert gates_kept(Rules()) == READY_GATES


def test_with_every_switch_off_the_readiness_keeps_the_chain() -> None:
    kept = {
        gate.label_in(Rules(off=frozenset(Switch)))
        for gate in gates_kept(Rules(off=frozenset(Switch)))
    }
    assert {"assessed", "baseline", "treatment", "light", "before install", "way home"} <= kept
    assert not {"imaging", "facsimile", "mount", "caption", "case", "route"} & kept


def test_the_days_of_the_readiness_are_those_the_museum_set() -> None:
    facts = lawful("declare_ready")
    sooner = put(facts, "rules.days", {"G9": 4})
    before = {cell.gate.code: cell.due_on for cell in readiness_of(facts)}
    after = {cell.gate.code: cell.due_on for cell in readiness_of(sooner)}
    assert (after["G9"] - before["G9"]).days == 10
    assert {code for code in after if after[code] != before[code]} == {"G9"}


def test_a_showing_goes_on_when_only_what_is_off_is_missing() -> None:
    facts = lawful("declare_ready")
    for case in OF_SWITCHES:
        if case.move == "declare_ready":
            for path, value in case.changes:
                facts = put(facts, path, value)
    move = onward(facts)
    assert move is not None
    assert move.name == "declare_ready"
    assert move.blockers(facts)
    assert not move.blockers(without(facts, *Switch))
