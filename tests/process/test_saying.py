"""What a move asks of the person who makes it: reasons, second hands, limits, a stage."""

from dataclasses import replace

import pytest

from lifecycle.process.facts.objects import HoldFacts
from lifecycle.process.facts.showing import WaiverFacts
from lifecycle.process.moves import MOVES
from lifecycle.process.saying import Saying
from lifecycle.process.stages import Role, Stage
from lifecycle.process.waivers import WAIVABLE
from tests.process.lawful import lawful, made, moment, put, said

C, R, T = Role.CONSERVATOR, Role.REGISTRAR, Role.TECHNICIAN


def codes(name: str, saying: Saying, **changes: object) -> list[str]:
    facts = lawful(name)
    for path, value in changes.items():
        facts = put(facts, path.replace("__", "."), value)
    return [blocker.code for blocker in MOVES[name].refusals(facts, saying)]


@pytest.mark.parametrize("name", ["look_again", "withdraw"])
def test_a_reason_is_asked(name: str) -> None:
    assert codes(name, replace(said(name), reason="  ")) == ["say.reason"]


@pytest.mark.parametrize("name", ["install", "start_rotation", "show_again"])
@pytest.mark.parametrize(
    "change",
    [{"second": None}, {"second": 1}, {"second_role": Role.CURATOR}, {"second_role": None}],
    ids=str,
)
def test_two_people_are_asked(name: str, change: dict[str, object]) -> None:
    assert codes(name, replace(said(name), **change)) == ["say.second"]  # type: ignore[arg-type]


def test_a_rotation_is_planned_or_explained() -> None:
    saying = replace(said("start_rotation"), reason="")
    assert codes("start_rotation", saying) == []
    assert codes("start_rotation", saying, display__appointments=()) == ["turn.planned"]
    assert codes("start_rotation", said("start_rotation"), display__appointments=()) == []


@pytest.mark.parametrize(
    ("role", "second_role", "emergency", "wanted"),
    [
        (C, T, False, []),
        (C, R, False, []),
        (T, C, False, []),
        (T, R, False, ["say.conservator"]),
        (T, None, False, ["say.second", "say.conservator"]),
        (T, None, True, []),
        (R, None, True, []),
        (C, None, False, ["say.second"]),
    ],
)
def test_taking_down_takes_two_or_an_emergency(
    role: Role, second_role: Role | None, emergency: bool, wanted: list[str]
) -> None:
    saying = Saying(
        role=role,
        by=1,
        reason="Water.",
        second=2 if second_role else None,
        second_role=second_role,
        emergency=emergency,
    )
    assert codes("take_down", saying) == wanted


def test_an_emergency_says_what_it_is_and_part_a_may_follow() -> None:
    saying = Saying(role=T, by=1, emergency=True)
    assert codes("take_down", saying) == ["say.reason"]
    told = replace(saying, reason="Water.")
    unsigned = {"reports__4__signed": False}
    assert codes("take_down", told, **unsigned) == ["part_a.missing"]
    assert codes("take_down", told, display__take_down__emergency=True, **unsigned) == []


@pytest.mark.parametrize("name", ["take_over", "pass_on"])
def test_a_registrar_acts_with_a_conservator_or_is_one_too(name: str) -> None:
    alone = replace(said(name), second=None, second_role=None)
    assert codes(name, alone) == ["say.second"]
    assert codes(name, replace(alone, also_roles=frozenset({C}))) == []
    assert codes(name, replace(said(name), second_role=T)) == ["say.second"]


@pytest.mark.parametrize("name", ["begin_treatment", "aftercare"])
def test_limits_of_a_consent_are_to_be_read(name: str) -> None:
    assert codes(name, replace(said(name), limits_read=False)) == ["say.limits"]


def test_a_take_over_says_where_it_stands() -> None:
    for to in (None, Stage.EXAMINATION):
        assert codes("take_over", replace(said("take_over"), to=to)) == ["say.stage"]
    facts, move = lawful("take_over"), MOVES["take_over"]
    assert move.target(facts, said("take_over")) is Stage.ON_DISPLAY
    with pytest.raises(ValueError, match="several stages"):
        move.target(facts, replace(said("take_over"), to=None))


def test_finishing_treatment_looks_back_at_how_it_began() -> None:
    move, facts = MOVES["finish_treatment"], lawful("finish_treatment")
    assert move.target(facts, said("finish_treatment")) is Stage.MOUNTING
    after = put(facts, "journal", (made("aftercare", Stage.TREATMENT, moment(8, 1)),))
    assert move.target(after, said("finish_treatment")) is Stage.REHOUSING
    assert MOVES["take_in"].target(facts, said("take_in")) is Stage.EXAMINATION


def test_a_hold_that_asks_for_treatment_lets_treatment_begin_and_nothing_else() -> None:
    for name in ("begin_treatment", "aftercare"):
        facts = put(lawful(name), "object.holds", (_hold(asks_treatment=True),))
        assert MOVES[name].refusals(facts, said(name)) == []
    facts = put(lawful("finish_treatment"), "object.holds", (_hold(asks_treatment=True),))
    assert [b.code for b in MOVES["finish_treatment"].blockers(facts)] == ["object.held"]


def _hold(*, asks_treatment: bool) -> HoldFacts:
    return HoldFacts(
        uid="hold",
        reason="a split",
        placed_by="Marit Oldacre",
        placed_on=moment(9, 1).date(),
        asks_treatment=asks_treatment,
    )


def test_a_waiver_takes_the_reason_away_until_its_day_and_shows_it_with_the_name() -> None:
    facts = put(lawful("send_home"), "preparation.housing.fits", False)
    move = MOVES["send_home"]
    waiver = WaiverFacts(code="housing.fits", by="Marit Oldacre", until=facts.today)
    waived = put(facts, "waivers", (waiver,))
    assert move.blockers(waived) == []
    assert [(b.code, w.by) for b, w in move.waived(waived)] == [("housing.fits", "Marit Oldacre")]
    over = put(facts, "waivers", (replace(waiver, until=moment(9, 7).date()),))
    assert [b.code for b in move.blockers(over)] == ["housing.fits"]
    other = put(facts, "waivers", (replace(waiver, about="plate 5"),))
    assert [b.code for b in move.blockers(other)] == ["housing.fits"]


NEVER = (
    "answer.",
    "object.",
    "baseline.",
    "consent.",
    "proposal.",
    "treatment.",
    "account.missing",
    "install.two",
    "install.lux",
    "part_a",
    "part_b",
    "change.",
    "movement.",
    "incident.",
    "report.",
    "paper.",
    "loan.",
    "say.",
)


def test_the_chain_that_always_holds_can_not_be_waived() -> None:
    """No museum leaves out examination, consent, light limit, de-install check, housing."""
    assert not [code for code in WAIVABLE if code.startswith(NEVER)]
    light = [code for code in WAIVABLE if code.startswith(("light.", "account.", "install.c"))]
    assert light
    assert all(WAIVABLE[code].override for code in light)
    assert WAIVABLE["housing.fits"].needs_until
    assert all(Role.HEAD_OF_COLLECTIONS in rule.roles for rule in WAIVABLE.values())


def test_an_override_in_the_answer_opens_the_account() -> None:
    facts = put(lawful("take_in"), "light.faces.0.planned", 99_999)
    facts = put(facts, "answer.override_by_head", True)
    assert MOVES["take_in"].blockers(facts) == []


def test_part_b_of_the_showing_before_serves_as_baseline_while_younger_than_thirty_days() -> None:
    facts = put(lawful("no_treatment_needed"), "faces", (lawful("request").faces[0],))
    old = tuple(replace(r, this_showing=False) for r in facts.reports)
    facts = put(facts, "reports", old)
    assert [b.code for b in MOVES["no_treatment_needed"].blockers(facts)] == ["baseline.report"]
    for arrived, wanted in ((moment(10, 7), []), (moment(10, 8), ["baseline.report"])):
        passed = put(facts, "journal", (made("pass_on", Stage.EXAMINATION, arrived),))
        found = [b.code for b in MOVES["no_treatment_needed"].blockers(passed)]
        assert found == wanted
