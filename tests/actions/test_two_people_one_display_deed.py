"""Two people do one display deed at one moment: one does it, the other is told, nothing doubles."""

import pytest

from lifecycle.process.stages import Stage
from tests.actions.test_two_people_one_move import own_database, run

__all__ = ["own_database"]

# deed -> the stage afterwards, what the second is told, the rows that are new
AFTERWARDS: dict[str, tuple[str, str, dict[str, int]]] = {
    "install": (
        "on_display",
        "was installed by",
        {"moves": 1, "checks": 1, "periods": 1, "open periods": 1, "readings": 1},
    ),
    "strike": ("ready", "is struck already, by", {"struck": 1, "open periods": -1}),
    "start rotation": (
        "rotation",
        "was taken out of its place for a turn or swap by",
        {"moves": 1, "open periods": -1, "turns": 1},
    ),
    "show again": (
        "on_display",
        "was back on display by",
        {"moves": 1, "periods": 1, "open periods": 1, "readings": 1},
    ),
    "take down": (
        "deinstall_check",
        "was taken down by",
        {"moves": 1, "open periods": -1, "take-downs": 1, "readings": 1},
    ),
    "send home": ("returned", "was sent home", {"moves": 1}),
}


@pytest.mark.slow
def test_one_does_it_the_other_is_told_who_did_and_nothing_is_done_twice(
    own_database: str,
) -> None:
    found = run("display_presses", own_database, seconds=240)
    assert set(found) == set(AFTERWARDS)
    for deed, (stage, told, new) in AFTERWARDS.items():
        assert found[deed]["met"][0] == "made", found[deed]
        assert found[deed]["met"][1].startswith("told: "), found[deed]
        assert told in found[deed]["met"][1]
        # Read under the lock: where it stands now, not where it stood when both pressed.
        stands = f"is now at {Stage(stage).label}."
        assert deed == "strike" or found[deed]["met"][1].endswith(stands), found[deed]
        assert (found[deed]["stage"], found[deed]["new"]) == (stage, new), deed
