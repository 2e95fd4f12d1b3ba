"""Which forms and papers carry which cautions for the people at work; a missing one fails here.

Hazards of the object itself ride on each of them (``tests/process/test_cautions.py``). The list of
dangers by activity is common practice.
"""

import ast
from pathlib import Path

import pytest

import lifecycle
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.words import Hazard

ROOT = Path(lifecycle.__file__).parent
C = CautionFor

FORMS = {
    "pages/colour/spots.py": {C.EXAMINE},
    "pages/condition/deinstall.py": {C.EXAMINE, C.TAKE_DOWN},
    "pages/condition/ink.py": {C.EXAMINE, C.MOVE, C.SPOT_TEST},
    "pages/condition/looking.py": {C.EXAMINE_UV},
    "pages/condition/seeing.py": {C.EXAMINE, C.EXAMINE_UV, C.TAKE_DOWN},
    "pages/condition/start.py": {C.EXAMINE, C.TAKE_DOWN},
    "pages/display/assess.py": {C.EXAMINE},
    "pages/display/ending.py": {C.MOVE},
    "pages/display/install.py": {C.INSTALL},
    "pages/display/install_case.py": {C.INSTALL},
    "pages/display/swaps.py": {C.INSTALL},
    "pages/display/take_down.py": {C.TAKE_DOWN},
    "pages/display/turns.py": {C.INSTALL, C.MOVE},
    "pages/incidents/views.py": {C.MOVE},
    "pages/light/readings.py": {C.READ_LIGHT},
    "pages/light/walk.py": {C.READ_LIGHT},
    "pages/looking_into.py": {C.EXAMINE_UV},
    "pages/movements/views.py": {C.MOVE},
    "pages/moves/make.py": {C.EXAMINE, C.INSTALL, C.MOVE, C.TAKE_DOWN, C.TREAT},
    "pages/papers/printing.py": {C.MOVE},
    "pages/preparation/cases.py": {C.MOVE},
    "pages/preparation/facsimiles.py": {C.INSTALL},
    "pages/preparation/fitting.py": {C.INSTALL},
    "pages/preparation/fixing.py": {C.INSTALL},
    "pages/preparation/housing.py": {C.MOVE},
    "pages/preparation/housing_tried.py": {C.MOVE},
    "pages/preparation/imaging.py": {C.EXAMINE, C.EXAMINE_UV},
    "pages/preparation/mounts.py": {C.INSTALL},
    "pages/preparation/record.py": {C.INSTALL},
    "pages/treatment/bench.py": {C.TREAT},
    "pages/treatment/finding.py": {C.TREAT},
    "pages/treatment/material_tests.py": {C.MATERIAL_TEST},
    "pages/treatment/proposals.py": {C.TREAT},
    "pages/treatment/report.py": {C.TREAT},
    "pages/treatment/sequences.py": {C.TREAT},
    "pages/treatment/starting_sequences.py": {C.TREAT},
    "papers/filling/cards.py": {C.MOVEMENT_PAPER},
    "papers/filling/case_conditions.py": {C.READ_LIGHT},
    "papers/filling/condition_report.py": {C.CONDITION_PAPER},
    "papers/filling/deinstall_form.py": {C.DEINSTALL_PAPER},
    "papers/filling/incident_report.py": {C.CONDITION_PAPER},
    "papers/filling/light_statement.py": {C.READ_LIGHT},
    "papers/filling/movement_slip.py": {C.MOVEMENT_PAPER},
    "papers/filling/reading_sheet.py": {C.READ_LIGHT},
    "papers/filling/tickets.py": {C.EXAMINE, C.EXAMINE_UV, C.INSTALL},
    "papers/filling/treatment_proposal.py": {C.TREAT},
    "papers/filling/treatment_report.py": {C.CONDITION_PAPER},
    "papers/filling/turn_instruction.py": {C.INSTALL},
}


def activities_in(path: Path) -> set[CautionFor]:
    """The activities whose cautions a module asks for."""
    return {
        CautionFor[node.attr]
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "CautionFor"
    }


@pytest.mark.parametrize("module", FORMS)
def test_a_form_or_paper_at_work_carries_the_cautions_of_that_work(module: str) -> None:
    missing = FORMS[module] - activities_in(ROOT / module)
    assert missing == set()


def test_no_form_asks_for_cautions_without_standing_in_the_list() -> None:
    found = {
        str(path.relative_to(ROOT))
        for floor in ("pages", "papers")
        for path in (ROOT / floor).rglob("*.py")
        if activities_in(path)
    }
    assert found - set(FORMS) == set()


@pytest.mark.parametrize(
    ("danger", "spoken_of_at"),
    [
        ("Solvents", {C.TREAT}),
        ("UV lamp", {C.EXAMINE_UV, C.CONDITION_PAPER}),
        (
            "Lifting",
            {C.MOVE, C.INSTALL, C.TAKE_DOWN, C.DEINSTALL_PAPER, C.MOVEMENT_PAPER},
        ),
        ("Broken glass", {C.INSTALL, C.TAKE_DOWN, C.DEINSTALL_PAPER}),
        ("Metal coupons and heat", {C.MATERIAL_TEST}),
    ],
)
def test_a_danger_is_spoken_of_wherever_it_is_met(
    danger: str, spoken_of_at: set[CautionFor]
) -> None:
    said = {
        activity
        for activity in CautionFor
        if danger in {one.about for one in cautions_for([Hazard.NONE_KNOWN], activity)}
    }
    assert spoken_of_at - said == set()
