"""Each gate of each move broken alone gives exactly its reason; and without the gate it does not.

The breaks stand in ``breaks.py``, written apart from the gates.
"""

from dataclasses import replace

import pytest

from lifecycle.process.gates import examining
from lifecycle.process.gates.blocker import Gate
from lifecycle.process.moves import MOVES, open_moves
from lifecycle.process.stages import CLOSED, Role, Stage
from tests.process.breaks import BREAKS, Break
from tests.process.lawful import NUMBER, START, lawful, put, said

C, CU, R, T = Role.CONSERVATOR, Role.CURATOR, Role.REGISTRAR, Role.TECHNICIAN
WHO = {
    "request": {CU},
    "take_over": {R},
    "take_in": {C},
    "decline": {C, CU},
    "begin_treatment": {C},
    "no_treatment_needed": {C},
    "finish_treatment": {C},
    "look_again": {C},
    "declare_ready": {C, R},
    "install": {C},
    "start_rotation": {C},
    "show_again": {C},
    "take_down": {C, R, T},
    "pass_check": {C},
    "aftercare": {C},
    "send_home": {R},
    "pass_on": {R},
    "withdraw": {CU},
}
S = Stage
EDGES: dict[str, set[tuple[Stage | None, Stage]]] = {
    "request": {(None, S.SELECTION)},
    "take_over": {
        (None, S.MOUNTING),
        (None, S.READY),
        (None, S.ON_DISPLAY),
        (None, S.REHOUSING),
    },
    "take_in": {(S.SELECTION, S.EXAMINATION)},
    "decline": {(S.SELECTION, S.DECLINED), (S.EXAMINATION, S.DECLINED)},
    "begin_treatment": {(S.EXAMINATION, S.TREATMENT)},
    "no_treatment_needed": {(S.EXAMINATION, S.MOUNTING)},
    "finish_treatment": {(S.TREATMENT, S.MOUNTING), (S.TREATMENT, S.REHOUSING)},
    "look_again": {(s, S.EXAMINATION) for s in (S.TREATMENT, S.MOUNTING, S.READY)},
    "declare_ready": {(S.MOUNTING, S.READY)},
    "install": {(S.READY, S.ON_DISPLAY)},
    "start_rotation": {(S.ON_DISPLAY, S.ROTATION)},
    "show_again": {(S.ROTATION, S.ON_DISPLAY)},
    "take_down": {(S.ON_DISPLAY, S.DEINSTALL_CHECK), (S.ROTATION, S.DEINSTALL_CHECK)},
    "pass_check": {(S.DEINSTALL_CHECK, S.REHOUSING)},
    "aftercare": {(S.DEINSTALL_CHECK, S.TREATMENT)},
    "send_home": {(S.REHOUSING, S.RETURNED)},
    "pass_on": {(S.DEINSTALL_CHECK, S.RETURNED), (S.SELECTION, S.EXAMINATION)},
    "withdraw": {
        (s, S.WITHDRAWN) for s in (S.SELECTION, S.EXAMINATION, S.TREATMENT, S.MOUNTING, S.READY)
    },
}
GATES = [(name, gate) for name, move in MOVES.items() for gate in move.gates]


def name_of(case: Break) -> str:
    return f"{case.move}-{case.key}-{case.changes[0][0]}"


def keys(case: Break, without: Gate | None = None) -> list[str]:
    move = MOVES[case.move]
    if without is not None:
        move = replace(move, gates=tuple(g for g in move.gates if g is not without))
    return [blocker.key for blocker in move.refusals(case.facts(), said(case.move))]


def test_the_table_is_the_one_of_the_process_text() -> None:
    assert {name: set(move.edges) for name, move in MOVES.items()} == EDGES
    assert {name: set(move.roles) for name, move in MOVES.items()} == WHO


@pytest.mark.parametrize("name", MOVES)
def test_with_lawful_facts_nothing_is_in_the_way(name: str) -> None:
    assert MOVES[name].refusals(lawful(name), said(name)) == []


@pytest.mark.parametrize("case", BREAKS, ids=name_of)
def test_one_thing_broken_gives_exactly_its_reason(case: Break) -> None:
    assert keys(case) == [case.key]


@pytest.mark.parametrize(
    ("move", "path", "gone", "codes"),
    [
        ("start_rotation", "preparation.facsimiles", (), {"facsimile.missing"}),
        ("start_rotation", "reports", (), {"rotation.off_going"}),
        ("show_again", "reports", (), {"rotation.on_coming"}),
        ("take_down", "reports", (), {"part_a.missing"}),
        ("take_down", "display.take_down", None, {"takedown.lamps", "takedown.light"}),
        ("pass_check", "reports", (), {"part_a.missing", "part_b.missing"}),
        ("send_home", "home.loan", None, {"loan.exit", "loan.receipt"}),
    ],
)
def test_what_is_not_there_at_all_stands_in_the_way(
    move: str, path: str, gone: object, codes: set[str]
) -> None:
    assert codes <= {
        blocker.code for blocker in MOVES[move].blockers(put(lawful(move), path, gone))
    }


@pytest.mark.parametrize("case", BREAKS, ids=name_of)
def test_every_reason_is_a_sentence_that_names_the_object_or_the_paper(case: Break) -> None:
    (reason,) = MOVES[case.move].refusals(case.facts(), said(case.move))
    named = [NUMBER, "HCM", "TP-", "PR-", "LN-", "IN-", "object", "N4", "CR ", "Glass and Frost"]
    assert any(word in reason.text for word in named), reason.text
    assert reason.text[0].isupper() or reason.text[0].isdigit() or reason.text.startswith("N4")
    assert reason.text.endswith(".")
    assert isinstance(reason.role, Role)


@pytest.mark.parametrize(("name", "gate"), GATES, ids=lambda v: getattr(v, "__name__", str(v)))
def test_with_a_gate_taken_out_some_case_of_the_table_would_fail(name: str, gate: Gate) -> None:
    """The fault test: each gate is caught by this table, were it forgotten."""
    caught = [c for c in BREAKS if c.move == name and keys(c, without=gate) != [c.key]]
    assert caught, f"nothing in the table notices when {gate.__name__} is forgotten in {name}"


@pytest.mark.parametrize("stage", [None, *Stage])
@pytest.mark.parametrize("name", MOVES)
def test_a_move_starts_only_where_the_text_says(name: str, stage: Stage | None) -> None:
    facts = put(lawful(name), "stage", stage)
    codes = [blocker.code for blocker in MOVES[name].refusals(facts, said(name))]
    sources = {source for source, _ in EDGES[name]} - (
        {S.SELECTION} if name == "pass_on" else set()
    )
    assert ("move.wrong_stage" in codes) == (stage not in sources)
    if stage not in sources:
        assert codes == ["move.wrong_stage"]


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("name", MOVES)
def test_a_move_belongs_to_the_roles_of_the_text(name: str, role: Role) -> None:
    assert (role in MOVES[name].roles) == (role in WHO[name])


def test_no_move_leads_out_of_an_end_and_every_open_stage_leads_to_one() -> None:
    assert all(not open_moves(stage) for stage in CLOSED)
    ends = set(CLOSED)
    while True:
        more = {stage for stage in Stage if any(move.targets & ends for move in open_moves(stage))}
        if more <= ends:
            break
        ends |= more
    assert ends == set(Stage)


def test_hold_stops_what_the_text_says_and_nothing_else() -> None:
    """Request, decline, look again, withdraw and take down stay open under a hold."""
    holds = {examining.object_is_not_held, examining.no_hold_forbids_treatment}
    stopped = {name for name, move in MOVES.items() if holds & set(move.gates)}
    assert stopped == set(MOVES) - {
        "request",
        "take_over",
        "decline",
        "look_again",
        "withdraw",
        "take_down",
    }


def test_every_move_has_a_starting_stage_in_this_test() -> None:
    assert set(START) == set(MOVES)
